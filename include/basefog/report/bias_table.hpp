// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <ostream>
#include <span>
#include <string>

#include "basefog/meter/bias_history.hpp"
#include "basefog/report/report.hpp"
#include "basefog/roll/camera_review.hpp"

namespace basefog::report {

/// What all rolls of a camera say of its meter, as sentences for the terminal. A pure function.
void write_bias_table(std::ostream& out, const roll::CameraReview& camera,
                      const TerminalStyle& style = {});

/// A chart (SVG) of a camera's rolls in order of date: each frame's deviation, each roll's middle
/// with the interval of its mean, and the bias now as a band. rolls: of that camera, not empty.
std::string bias_plot(std::span<const meter::RememberedRoll> rolls,
                      const meter::BiasHistory& history);

/// The same for machines, one object a camera: schema "basefog.bias/1", names as in
/// "meter", "techniques" and "advice" of a review.
void write_bias_json(std::ostream& out, std::span<const roll::CameraReview> cameras);

/// Rolls in the ledger, one a line.
void write_ledger_table(std::ostream& out, std::span<const meter::RememberedRoll> rolls,
                        const TerminalStyle& style = {});

/// The same for machines: schema "basefog.ledger/1".
void write_ledger_json(std::ostream& out, std::span<const meter::RememberedRoll> rolls);

}  // namespace basefog::report
