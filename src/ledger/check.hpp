// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cmath>
#include <filesystem>
#include <optional>
#include <string>

#include "basefog/core/error.hpp"
#include "basefog/core/units.hpp"
#include "basefog/log/log.hpp"
#include "core/name_list.hpp"

namespace basefog::ledger {

/// What a ledger holds may have been changed by anything: a value that no roll can have is refused
/// by its name, its roll's and the ledger's.
class Check {
 public:
  Check(const std::filesystem::path& ledger, const std::string& roll)
      : ledger_(ledger), roll_(roll) {}

  Stops stops(const char* what, double value) const { return Stops(finite(what, value)); }
  double finite(const char* what, double value) const {
    if (!std::isfinite(value)) refuse(what);
    return value;
  }
  double spread(const char* what, double value) const {
    if (!std::isfinite(value) || value < 0) refuse(what);
    return value;
  }
  double size(const char* what, double value) const {
    if (!std::isfinite(value) || value <= 0) refuse(what);
    return value;
  }
  /// Of a closed list, or nothing.
  std::optional<log::ExposureMode> mode(const std::string& name) const {
    const auto mode = named<log::ExposureMode>(name);
    if (!mode && !name.empty()) refuse("mode");
    return mode;
  }
  /// A place on the roll, or nothing.
  std::optional<std::size_t> place(const std::optional<double>& place) const {
    if (place && !(*place >= 0 && *place < kMostFrames)) refuse("place of a frame");
    return place ? std::optional(static_cast<std::size_t>(*place)) : std::nullopt;
  }
  [[noreturn]] void refuse(const char* what) const {
    throw InputError(ErrorCode::malformed, ledger_,
                     "holds a " + std::string(what) + " of roll \"" + roll_ + "\" that cannot be",
                     "remove that roll with basefog ledger --remove and remember it again");
  }

 private:
  static constexpr double kMostFrames = 1e6;
  const std::filesystem::path& ledger_;
  const std::string& roll_;
};

}  // namespace basefog::ledger
