// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <filesystem>
#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <vector>

#include "desk/roll_desk.hpp"

namespace basefog::desk {

/// A roll as the shelf shows it, from what lies in its folders: nothing is read for it.
struct ShelfRoll {
  std::string name;
  std::size_t scans = 0;
  std::size_t rows = 0;  ///< of its log
  bool open = false;     ///< its desk was opened since the program began
};

/// The rolls that are served. A roll's desk opens when somebody looks at it.
class Shelf {
 public:
  explicit Shelf(std::vector<RollPlace> rolls)
      : places_(std::move(rolls)), desks_(places_.size()) {}

  std::size_t size() const { return places_.size(); }
  /// Null beyond the last. Throws InputError as RollDesk.
  std::shared_ptr<RollDesk> desk(std::size_t roll);
  std::vector<ShelfRoll> rolls();
  /// Ends all that waits.
  void stop();

 private:
  std::vector<RollPlace> places_;
  std::mutex mutex_;
  std::vector<std::shared_ptr<RollDesk>> desks_;
};

}  // namespace basefog::desk
