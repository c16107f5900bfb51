// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/response_check.hpp"

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include "numeric/quantile.hpp"

namespace basefog::roll {
namespace {

void add_net_densities(const FrameResult& frame, std::vector<float>& net) {
  const density::ApertureGrid& grid = frame.measurement.apertures;
  const std::size_t plane = static_cast<std::size_t>(grid.columns) * grid.rows;
  for (std::size_t i = 0; i < grid.density.size(); ++i) {
    const auto base = static_cast<float>(frame.reference.density[i / plane].value());
    net.push_back(grid.density[i] - base);
  }
}

}  // namespace

void check_response(Analysis& analysis) {
  std::vector<float> net;
  response::DensityWitness witness{.frames = 0};
  const FrameResult* any = nullptr;
  for (const FrameResult& frame : analysis.frames) {
    if (frame.state != density::FrameState::measured) continue;
    any = &frame;
    ++witness.frames;
    add_net_densities(frame, net);
    if (frame.measurement.light_known) {
      witness.clear_film =
          *std::min_element(frame.reference.density.begin(), frame.reference.density.end());
    }
  }
  if (any == nullptr || net.empty()) return;
  witness.densest = NetDensity(numeric::quantile(std::move(net), 0.999));

  const response::ResponseDoubt doubt =
      response::doubt_response(any->measurement.response, witness);
  if (doubt == response::ResponseDoubt::none) return;
  analysis.warnings.push_back({std::nullopt, Flag::response_implausible, doubt});
  for (FrameResult& frame : analysis.frames) {
    if (frame.state == density::FrameState::measured)
      frame.flags.insert(Flag::response_implausible);
  }
}

}  // namespace basefog::roll
