// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/what_next.hpp"

#include <algorithm>

namespace basefog::roll {
namespace {

FaultyScans faults_of(std::span<const FrameResult> frames) {
  FaultyScans scans;
  for (const FrameResult& frame : frames) {
    if (frame.state == density::FrameState::blank) continue;
    ++scans.frames;
    scans.positive += frame.state == density::FrameState::positive;
    scans.without_zero += frame.state == density::FrameState::no_reference;
    scans.clipped_base += frame.flags.contains(Flag::clipped_base);
  }
  return scans;
}

/// All that is asked but single rows, and whether the scans' response can be right.
std::vector<QuestionAbout> open_questions(std::span<const FrameResult> frames,
                                          std::span<const Question> questions) {
  std::vector<QuestionAbout> open;
  for (const Question& question : questions) {
    if (question.about != QuestionAbout::rows) open.push_back(question.about);
  }
  const bool implausible = std::ranges::any_of(frames, [](const FrameResult& frame) {
    return frame.flags.contains(Flag::response_implausible);
  });
  const bool asked = std::ranges::find(open, QuestionAbout::response) != open.end();
  if (implausible && !asked) open.insert(open.begin(), QuestionAbout::response);
  return open;
}

std::optional<plan::NextRoll> plan_of(const CameraFindings& camera, const MatchedLog& rows,
                                      const film::FilmProfile& film,
                                      const std::optional<log::Camera>& set) {
  if (!camera.meter) return std::nullopt;
  plan::NextRollBasis basis{.dialled = camera.dialled.value_or(film.iso_speed),
                            .camera = set,
                            .meter = *camera.meter,
                            .frames = camera.deviations};
  if (rows.is_vouched_for()) basis.techniques = camera.techniques;
  std::optional<plan::NextRoll> plan = plan::plan_next_roll(basis);
  if (plan && !rows.shows_the_camera()) return plan::unchanged(*plan, plan::PlanState::not_known);
  return plan;
}

}  // namespace

WhatNext decide_what_next(std::span<const FrameResult> frames, const CameraFindings& camera,
                          const MatchedLog& rows, std::span<const Question> questions,
                          const film::FilmProfile& film, const std::optional<log::Camera>& set) {
  WhatNext next{.next_roll = plan_of(camera, rows, film, set)};
  next.advice = advise({.film = film,
                        .battery = set ? set->battery : "",
                        .meter = rows.shows_the_camera() ? camera.meter : std::nullopt,
                        .next_roll = next.next_roll,
                        .open = open_questions(frames, questions),
                        .scans = faults_of(frames)});
  if (next.next_roll && std::ranges::any_of(next.advice, blocks)) {
    next.next_roll = plan::unchanged(*next.next_roll, plan::PlanState::held_up);
  }
  return next;
}

}  // namespace basefog::roll
