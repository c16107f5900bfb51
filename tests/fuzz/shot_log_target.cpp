// SPDX-License-Identifier: GPL-3.0-or-later
#include <cmath>

#include "basefog/core/error.hpp"
#include "basefog/log/log.hpp"
#include "basefog/log/scene_light.hpp"
#include "fuzz/fuzz_targets.hpp"

namespace basefog::test {
namespace {

void require_sense(const log::ShotSettings& settings) {
  if (settings.shutter) {
    require(settings.shutter->seconds() > 0 && std::isfinite(settings.shutter->seconds()));
  }
  if (settings.aperture) {
    require(settings.aperture->value() > 0 && std::isfinite(settings.aperture->value()));
  }
}

void require_sense(const log::ShotLog& log) {
  require(!log.rows.empty());
  for (const log::LogRow& row : log.rows) {
    require(row.line >= 1);
    require_sense(row.used);
    require_sense(row.metered);
    if (row.ei) require(row.ei->iso() > 0 && std::isfinite(row.ei->iso()));
    if (row.filter) require(row.filter->value() >= 0);
    const auto expected = log::expected_exposure(row, FilmSpeed(100));
    if (expected) require(std::isfinite(expected->value()));
    const auto light = log::scene_light_of(row);
    if (light) require(light->lowest_ev <= light->highest_ev);
  }
  for (const log::LogRemark& remark : log.remarks) require(remark.line >= 1);
}

}  // namespace

void fuzz_shot_log(std::string_view bytes) {
  try {
    require_sense(log::parse_shot_log(bytes, "fuzzed.csv"));
  } catch (const InputError&) {
    // Refused with a reason.
  }
}

}  // namespace basefog::test
