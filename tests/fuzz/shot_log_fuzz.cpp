// SPDX-License-Identifier: GPL-3.0-or-later
// Whatever bytes a log holds, reading it ends: with rows whose every value makes sense, or with an
// InputError. libFuzzer calls this; replay_test.cpp calls it for the inputs that are kept.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "basefog/error.hpp"
#include "basefog/scene_light.hpp"
#include "basefog/shot_log.hpp"

namespace {

void require(bool condition) {
  if (!condition) std::abort();
}

void require_sense(const basefog::ShotSettings& settings) {
  if (settings.shutter) {
    require(settings.shutter->seconds() > 0 && std::isfinite(settings.shutter->seconds()));
  }
  if (settings.aperture) {
    require(settings.aperture->value() > 0 && std::isfinite(settings.aperture->value()));
  }
}

void require_sense(const basefog::ShotLog& log) {
  require(!log.rows.empty());
  for (const basefog::LogRow& row : log.rows) {
    require(row.line >= 1);
    require_sense(row.used);
    require_sense(row.metered);
    if (row.ei) require(row.ei->iso() > 0 && std::isfinite(row.ei->iso()));
    if (row.filter) require(row.filter->value() >= 0);
    const auto expected = basefog::expected_exposure(row, basefog::FilmSpeed(100));
    if (expected) require(std::isfinite(expected->value()));
    const auto light = basefog::scene_light_of(row);
    if (light) require(light->lowest_ev <= light->highest_ev);
  }
  for (const basefog::LogRemark& remark : log.remarks) require(remark.line >= 1);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  try {
    require_sense(basefog::parse_shot_log(bytes, "fuzzed.csv"));
  } catch (const basefog::InputError&) {
    // Refused with a reason.
  }
  return 0;
}
