// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/core/error.hpp"

#include <utility>

namespace basefog {

InputError::InputError(ErrorCode code, std::filesystem::path path, std::string problem,
                       std::string next_step)
    : std::runtime_error(path.string() + ": " + problem + "; " + next_step),
      code_(code),
      path_(std::move(path)),
      problem_(std::move(problem)),
      next_step_(std::move(next_step)) {}

}  // namespace basefog
