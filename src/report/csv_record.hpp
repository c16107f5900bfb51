// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <fmt/format.h>

#include <cmath>
#include <optional>
#include <string>
#include <string_view>

#include "basefog/core/estimate.hpp"
#include "report/markup.hpp"
#include "report/wording.hpp"

namespace basefog::report {

/// A number, or an empty field for what was not measured.
inline std::string number(std::optional<double> value, int decimals) {
  if (!value || !std::isfinite(*value)) return "";
  const double scale = std::pow(10.0, decimals);
  return fmt::format("{:g}", std::round(*value * scale) / scale + 0.0);
}

inline std::string stops(std::optional<Stops> value) {
  return number(value ? std::optional(value->value()) : std::nullopt, 3);
}
template <class Zero>
std::string stops(const std::optional<ExposurePoint<Zero>>& point) {
  return stops(point ? std::optional(in_stops(*point)) : std::nullopt);
}

/// Fields of one record [RFC4180], which ends in CR LF.
class Record {
 public:
  void add(const std::string& field) {
    if (!first_) line_ += ',';
    first_ = false;
    line_ += field;
  }
  void add_text(std::string_view text) { add(csv_text(text)); }
  void add_estimate(const std::optional<StopsEstimate>& estimate) {
    const bool known = estimate && is_known(*estimate);
    add(known ? stops(estimate->value) : "");
    add(known ? stops(estimate->low) : "");
    add(known ? stops(estimate->high) : "");
  }
  std::string line() const { return line_ + "\r\n"; }

 private:
  std::string line_;
  bool first_ = true;
};

}  // namespace basefog::report
