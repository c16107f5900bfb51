// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "film/film_profile_keys.hpp"

namespace basefog::cli {

/// A finite number above zero; CLI11's own check lets nan and inf pass.
inline CLI::Validator positive_number() {
  return {[](const std::string& text) -> std::string {
            double value = 0;
            if (!CLI::detail::lexical_cast(text, value) || !(value > 0) || value > 1e9) {
              return "must be a number above 0, not " + text;
            }
            return "";
          },
          "", "positive"};
}

/// A film speed that a film, or a dial, may have.
inline CLI::Validator film_speed() {
  return {[](const std::string& text) -> std::string {
            double value = 0;
            if (!CLI::detail::lexical_cast(text, value) ||
                !(value >= film::kLeastSpeed && value <= film::kMostSpeed)) {
              return fmt::format("must be a film speed, {} to {}, not {}", film::kLeastSpeed,
                                 film::kMostSpeed, text);
            }
            return "";
          },
          "", "film speed"};
}

}  // namespace basefog::cli
