// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/log/log.hpp"
#include "log/frames.hpp"

namespace basefog::log {

std::optional<LogRow> row_from_metadata(const scan::ScanMetadata& metadata) {
  LogRow row;
  bool any = false;
  const auto keep = [&any](const std::optional<double>& from, auto& to, double lowest) {
    if (!from || !(*from > lowest)) return;
    using Quantity = typename std::remove_reference_t<decltype(to)>::value_type;
    to = Quantity(*from);
    any = true;
  };
  keep(metadata.shutter_seconds, row.used.shutter, 0);
  keep(metadata.f_number, row.used.aperture, 0);
  keep(metadata.iso, row.ei, 0);
  keep(metadata.compensation_stops, row.compensation, -100);
  keep(metadata.focal_length_mm, row.focal_length_mm, 0);
  row.lens = metadata.lens;
  row.metering = metadata.metering;
  row.note = metadata.comment;
  row.date = metadata.original_date;
  row.meter_behind_filter = true;
  row.no_picture = says_no_picture(metadata.comment);
  row.flash = says_flash(metadata.comment);
  any |= !row.lens.empty() || !row.metering.empty() || !row.date.empty() || row.no_picture;
  if (!any) return std::nullopt;
  return row;
}

}  // namespace basefog::log
