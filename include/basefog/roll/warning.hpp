// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "basefog/core/quality.hpp"
#include "basefog/core/settings.hpp"
#include "basefog/density/scan_record.hpp"
#include "basefog/log/remark.hpp"
#include "basefog/log/scene_light.hpp"
#include "basefog/response/response.hpp"

namespace basefog::roll {

/// A film speed that nobody stated.
struct AssumedSpeed {
  FilmSpeed speed{100};   ///< taken for the film's own
  bool from_log = false;  ///< the index that most of the log's rows were exposed at
  friend bool operator==(const AssumedSpeed&, const AssumedSpeed&) = default;
};

/// Remembered rolls that do not fit the others of their film.
struct OddRolls {
  std::vector<std::string> names;  ///< of the rolls
  friend bool operator==(const OddRolls&, const OddRolls&) = default;
};

/// One thing to say to the user, about one file or about the roll.
struct Warning {
  std::optional<std::filesystem::path> file;  ///< absent: about the roll
  Flag flag{};                                ///< says what it is about
  /// What is known beyond the flag's own text; monostate where that says all.
  std::variant<std::monostate, density::ScanFailure, log::LogRemark, log::SceneContradiction,
               AssumedSpeed, OddRolls, response::ResponseDoubt>
      fact = {};
  friend bool operator==(const Warning&, const Warning&) = default;
};

}  // namespace basefog::roll
