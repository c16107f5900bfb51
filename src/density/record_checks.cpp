// SPDX-License-Identifier: GPL-3.0-or-later
#include "density/record_checks.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

namespace basefog::density {
namespace {

/// Whether a picture has the pixels that it claims.
bool fits(const NegativePicture& picture) {
  if (picture.width < 0 || picture.height < 0) return false;
  if (picture.width == 0 || picture.height == 0) return picture.millidensity.empty();
  if (picture.channels != 1 && picture.channels != 3) return false;
  return picture.millidensity.size() ==
         static_cast<std::size_t>(picture.width) * picture.height * picture.channels;
}

bool has_channels(const NegativePicture& picture, int channels) {
  return picture.millidensity.empty() || picture.channels == channels;
}

bool fits(const std::vector<float>& values, std::size_t count, bool may_be_empty) {
  return (values.size() == count || (may_be_empty && values.empty())) &&
         std::all_of(values.begin(), values.end(),
                     [](float value) { return std::isfinite(value); });
}

bool is_spread(double sigma) { return std::isfinite(sigma) && sigma >= 0; }
bool is_size(double value) { return std::isfinite(value) && value > 0; }

/// Spreads, sizes and settings that nothing could have measured.
bool plausible(const FrameMeasurement& frame) {
  const auto finite = [](const auto& density) { return std::isfinite(density.value()); };
  const auto spread = [](const auto& density) { return is_spread(density.value()); };
  const auto setting = [](const std::optional<double>& value) { return !value || is_size(*value); };
  const std::vector<float>& sigma = frame.apertures.sigma;
  const area::FrameRegion& region = frame.region;
  const scan::ScanMetadata& settings = frame.metadata;
  return std::all_of(sigma.begin(), sigma.end(), is_spread) &&
         std::all_of(frame.rebate.density.begin(), frame.rebate.density.end(), finite) &&
         std::all_of(frame.rebate.sigma.begin(), frame.rebate.sigma.end(), spread) &&
         std::none_of(frame.densest.begin(), frame.densest.end(),
                      [](const Density& d) { return std::isnan(d.value()); }) &&
         is_spread(frame.response.relative_sigma) && is_size(frame.response.gamma) &&
         std::isfinite(region.centre_x) && std::isfinite(region.centre_y) &&
         is_size(region.width) && is_size(region.height) && std::isfinite(region.angle_degrees) &&
         frame.index >= 0 && frame.scan_width > 0 && frame.scan_height > 0 &&
         frame.bits_per_sample > 0 && setting(settings.shutter_seconds) &&
         setting(settings.f_number) && setting(settings.iso) && setting(settings.focal_length_mm) &&
         std::isfinite(settings.compensation_stops.value_or(0));
}

bool fits(const FrameMeasurement& frame) {
  const ApertureGrid& grid = frame.apertures;
  const bool measured = frame.state == FrameState::measured;
  if (grid.columns < 0 || grid.rows < 0) return false;
  if (measured && (grid.columns == 0 || grid.rows == 0)) return false;
  if (grid.channels != 1 && grid.channels != 3 && (measured || grid.channels != 0)) return false;
  const auto channels = static_cast<std::size_t>(grid.channels);
  const std::size_t count = channels * grid.rows * grid.columns;
  const FilmBase& base = frame.rebate;
  if (measured && !(has_channels(frame.negative, grid.channels) &&
                    has_channels(frame.overview, grid.channels))) {
    return false;
  }
  return fits(grid.density, count, !measured) && fits(grid.sigma, count, true) &&
         fits(grid.clipped, count, true) && fits(grid.floored, count, true) &&
         (!measured || frame.densest.size() == channels) &&
         base.density.size() == (base.kind == ReferenceKind::none ? 0 : channels) &&
         base.sigma.size() == base.density.size() && fits(frame.negative) && fits(frame.overview);
}

}  // namespace

bool is_whole(const ScanRecord& record) {
  return std::all_of(record.frames.begin(), record.frames.end(),
                     [](const FrameMeasurement& frame) { return fits(frame); });
}

bool is_plausible(const ScanRecord& record) {
  return std::all_of(record.frames.begin(), record.frames.end(), plausible);
}

}  // namespace basefog::density
