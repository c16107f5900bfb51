// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <CLI/CLI.hpp>

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

}  // namespace basefog::cli
