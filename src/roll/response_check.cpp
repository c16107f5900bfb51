// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/response_check.hpp"

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include "numeric/quantile.hpp"

namespace basefog::roll {
namespace {

void add_net_densities(const ReferencedFrame& frame, std::vector<float>& net) {
  const density::ApertureGrid& grid = frame.measurement.apertures;
  const std::size_t plane = static_cast<std::size_t>(grid.columns) * grid.rows;
  for (std::size_t i = 0; i < grid.density.size(); ++i) {
    const auto base = static_cast<float>(frame.base.density[i / plane].value());
    net.push_back(grid.density[i] - base);
  }
}

}  // namespace

std::optional<RollDoubt> response_found(std::span<const ReferencedFrame> frames) {
  std::vector<std::size_t> read_so;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    if (frames[i].measurement.response.source.kind == response::SourceKind::inferred_tiff) {
      read_so.push_back(i);
    }
  }
  if (read_so.empty()) return std::nullopt;
  return RollDoubt{
      .warning = {std::nullopt, Flag::response_assumed, response::ResponseDoubt::tone_curve},
      .frames = std::move(read_so)};
}

std::optional<RollDoubt> check_response(std::span<const ReferencedFrame> frames) {
  std::vector<float> net;
  response::DensityWitness witness{.frames = 0};
  std::vector<std::size_t> measured;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const ReferencedFrame& frame = frames[i];
    if (frame.state != density::FrameState::measured) continue;
    measured.push_back(i);
    ++witness.frames;
    add_net_densities(frame, net);
    if (frame.measurement.light_known) {
      witness.clear_film = std::ranges::min(frame.base.density);
    }
  }
  if (net.empty()) return std::nullopt;
  witness.densest = NetDensity(numeric::quantile(std::move(net), 0.999));

  const response::ResponseDoubt doubt =
      response::doubt_response(frames[measured.back()].measurement.response, witness);
  if (doubt == response::ResponseDoubt::none) return std::nullopt;
  return RollDoubt{.warning = {std::nullopt, Flag::response_implausible, doubt},
                   .frames = std::move(measured)};
}

}  // namespace basefog::roll
