// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/references.hpp"

#include <algorithm>

#include "basefog/core/error.hpp"
#include "basefog/density/roll_reference.hpp"

namespace basefog {
namespace {

void take_reference(FrameResult& frame, const FilmBase& base) {
  frame.reference = base;
  frame.flags.insert(base.flags);
  if (!shows_nothing(frame.measurement, base)) return;
  // Clear film all over: there were no edges to be found.
  frame.state = FrameState::blank;
  frame.flags.insert(Flag::blank);
  frame.flags.erase({Flag::no_frame_found});
}

FilmBase stated_base(const FrameMeasurement& frame, const std::optional<GivenBase>& given) {
  if (!given) return {};
  const bool by_curve =
      frame.response.kind == ResponseKind::icc || frame.response.kind == ResponseKind::calibrated;
  const bool codes = std::ranges::any_of(given->values, [](double value) { return value > 1; });
  if (by_curve && codes && !frame.response.curves) {
    throw InputError(
        ErrorCode::usage, "--base",
        "gives codes, but records of scans do not keep the curve that makes light of them",
        "give light against full scale, from 0 to 1, or review the scans themselves");
  }
  return base_given(*given, frame.response, frame.bits_per_sample, frame.apertures.channels);
}

/// Why a frame without clear film of its own cannot take the roll's.
Flag why_without(const RollReference& roll) {
  return roll.checked && !roll.locked ? Flag::exposure_not_locked : Flag::no_reference;
}

FilmBase clear_film(const std::filesystem::path& file, const ReadOptions& options) {
  const Scan scan = read_scan(file, options);
  return base_of_clear_film(measure_frames(scan, find_film(scan)).at(0));
}

}  // namespace

std::vector<FilmBase> rebates_of(const std::vector<FrameResult>& frames) {
  std::vector<FilmBase> bases;
  for (const FrameResult& frame : frames) {
    bases.push_back(frame.measurement.index == 0 ? frame.measurement.rebate : FilmBase{});
  }
  return bases;
}

void give_references(std::vector<FrameResult>& frames, const ReviewOptions& options) {
  const FilmBase clear =
      options.base_scan ? clear_film(*options.base_scan, options.measure.read) : FilmBase{};
  const RollReference roll = check_locked_exposure(rebates_of(frames));

  for (FrameResult& frame : frames) {
    if (frame.state != FrameState::measured) continue;
    const FilmBase stated = stated_base(frame.measurement, options.base);
    if (reference_fits(frame.measurement, stated)) {
      take_reference(frame, stated);
    } else if (frame.measurement.rebate.kind != ReferenceKind::none) {
      take_reference(frame, frame.measurement.rebate);
    } else if (reference_fits(frame.measurement, clear)) {
      take_reference(frame, clear);
    } else if (roll.base.kind == ReferenceKind::roll &&
               reference_fits(frame.measurement, roll.base)) {
      take_reference(frame, roll.base);
    } else {
      frame.state = FrameState::no_reference;
      frame.flags.insert(why_without(roll));
    }
  }
}

}  // namespace basefog
