// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/references.hpp"

#include <algorithm>

#include "basefog/core/error.hpp"
#include "basefog/density/roll_reference.hpp"

namespace basefog::roll {
namespace {

void take_reference(FrameResult& frame, const density::FilmBase& base) {
  frame.reference = base;
  frame.flags.insert(base.flags);
  if (!density::shows_nothing(frame.measurement, base)) return;
  // Clear film all over: there were no edges to be found.
  frame.state = density::FrameState::blank;
  frame.flags.insert(Flag::blank);
  frame.flags.erase({Flag::no_frame_found});
}

density::FilmBase stated_base(const density::FrameMeasurement& frame,
                              const std::optional<density::GivenBase>& given) {
  if (!given) return {};
  const bool by_curve = frame.response.kind == response::ResponseKind::icc ||
                        frame.response.kind == response::ResponseKind::calibrated;
  const bool codes = std::ranges::any_of(given->values, [](double value) { return value > 1; });
  if (by_curve && codes && !frame.response.curves) {
    throw InputError(
        ErrorCode::usage, "--base",
        "gives codes, but records of scans do not keep the curve that makes light of them",
        "give light against full scale, from 0 to 1, or review the scans themselves");
  }
  return density::base_given(*given, frame.response, frame.bits_per_sample,
                             frame.apertures.channels);
}

/// Why a frame without clear film of its own cannot take the roll's.
Flag why_without(const density::RollReference& roll) {
  return roll.checked && !roll.locked ? Flag::exposure_not_locked : Flag::no_reference;
}

density::FilmBase clear_film(const std::filesystem::path& file, const scan::ReadOptions& options) {
  const scan::Scan scan = scan::read_scan(file, options);
  return density::base_of_clear_film(density::measure_frames(scan, area::find_film(scan)).at(0));
}

}  // namespace

std::vector<density::FilmBase> rebates_of(const std::vector<FrameResult>& frames) {
  std::vector<density::FilmBase> bases;
  for (const FrameResult& frame : frames) {
    bases.push_back(frame.measurement.index == 0 ? frame.measurement.rebate : density::FilmBase{});
  }
  return bases;
}

void give_references(std::vector<FrameResult>& frames, const ReviewOptions& options) {
  const density::FilmBase clear = options.base_scan
                                      ? clear_film(*options.base_scan, options.measure.read)
                                      : density::FilmBase{};
  const density::RollReference roll = density::check_locked_exposure(rebates_of(frames));

  for (FrameResult& frame : frames) {
    if (frame.state != density::FrameState::measured) continue;
    const density::FilmBase stated = stated_base(frame.measurement, options.base);
    if (density::reference_fits(frame.measurement, stated)) {
      take_reference(frame, stated);
    } else if (frame.measurement.rebate.kind != density::ReferenceKind::none) {
      take_reference(frame, frame.measurement.rebate);
    } else if (density::reference_fits(frame.measurement, clear)) {
      take_reference(frame, clear);
    } else if (roll.base.kind == density::ReferenceKind::roll &&
               density::reference_fits(frame.measurement, roll.base)) {
      take_reference(frame, roll.base);
    } else {
      frame.state = density::FrameState::no_reference;
      frame.flags.insert(why_without(roll));
    }
  }
}

}  // namespace basefog::roll
