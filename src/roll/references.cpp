// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/references.hpp"

#include <algorithm>
#include <utility>

#include "basefog/core/error.hpp"
#include "basefog/density/reading_apart.hpp"
#include "basefog/density/roll_reference.hpp"

namespace basefog::roll {
namespace {

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

density::FilmBase clear_film(const std::filesystem::path& file, const scan::ReadOptions& options) {
  const scan::Scan scan = density::read_scan(file, options);
  return density::base_of_clear_film(density::measure_frames(scan, area::find_film(scan)).at(0));
}

/// What may stand in for clear film of a frame's own.
struct Zeros {
  density::FilmBase clear;  ///< the scan of clear film; kind none without
  density::RollReference roll;
};

density::RollReference reference_of_roll(const std::vector<density::FrameMeasurement>& frames) {
  std::vector<density::FilmBase> rebates;
  rebates.reserve(frames.size());
  for (const density::FrameMeasurement& frame : frames) rebates.push_back(rebate_of_scan(frame));
  return density::check_locked_exposure(rebates);
}

density::FilmBase best_zero(const density::FrameMeasurement& frame, const Zeros& zeros,
                            const std::optional<density::GivenBase>& given) {
  const density::FilmBase stated = stated_base(frame, given);
  if (density::reference_fits(frame, stated)) return stated;
  if (frame.rebate.kind != density::ReferenceKind::none) return frame.rebate;
  if (density::reference_fits(frame, zeros.clear)) return zeros.clear;
  if (zeros.roll.base.kind == density::ReferenceKind::roll &&
      density::reference_fits(frame, zeros.roll.base)) {
    return zeros.roll.base;
  }
  return {};
}

/// Why a frame without clear film of its own cannot take the roll's.
Flag why_without(const density::RollReference& roll) {
  return roll.checked && !roll.locked ? Flag::exposure_not_locked : Flag::no_reference;
}

ReferencedFrame reference_frame(density::FrameMeasurement measurement, const Zeros& zeros,
                                const std::optional<density::GivenBase>& given) {
  ReferencedFrame frame{.measurement = std::move(measurement)};
  frame.state = frame.measurement.state;
  frame.flags = frame.measurement.flags;
  if (frame.state != density::FrameState::measured) return frame;
  frame.base = best_zero(frame.measurement, zeros, given);
  if (frame.base.kind == density::ReferenceKind::none) {
    frame.state = density::FrameState::no_reference;
    frame.flags.insert(why_without(zeros.roll));
    return frame;
  }
  frame.flags.insert(frame.base.flags);
  if (density::shows_nothing(frame.measurement, frame.base)) {
    // Clear film all over: there were no edges to be found.
    frame.state = density::FrameState::blank;
    frame.flags.insert(Flag::blank);
    frame.flags.erase({Flag::no_frame_found});
  }
  return frame;
}

}  // namespace

density::FilmBase rebate_of_scan(const density::FrameMeasurement& frame) {
  return frame.index == 0 ? frame.rebate : density::FilmBase{};
}

std::vector<ReferencedFrame> reference_frames(std::vector<density::FrameMeasurement> frames,
                                              const ReviewOptions& options) {
  Zeros zeros{.roll = reference_of_roll(frames)};
  if (options.base_scan) zeros.clear = clear_film(*options.base_scan, options.measure.read);
  std::vector<ReferencedFrame> referenced;
  referenced.reserve(frames.size());
  for (density::FrameMeasurement& frame : frames) {
    referenced.push_back(reference_frame(std::move(frame), zeros, options.base));
  }
  return referenced;
}

}  // namespace basefog::roll
