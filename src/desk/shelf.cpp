// SPDX-License-Identifier: GPL-3.0-or-later
#include "desk/shelf.hpp"

#include <algorithm>

#include "basefog/core/error.hpp"
#include "basefog/log/log.hpp"
#include "basefog/scan/scan.hpp"
#include "desk/desk_files.hpp"
#include "scan/scan_files.hpp"

namespace basefog::desk {
namespace {

std::size_t scans_in(const std::filesystem::path& folder) {
  try {
    return scan::expanded({folder}, scan::has_scan_extension).size();
  } catch (const InputError&) {
    return 0;  // it went away
  }
}

/// Of the desk's own log, else of the one that lies with the scans.
std::size_t rows_of(const RollPlace& place) {
  for (const auto& file : {std::optional(place.folder / kLogFile), place.log}) {
    try {
      if (file) return log::read_shot_log(*file).rows.size();
    } catch (const InputError&) {
      continue;  // not there, or nothing in it yet
    }
  }
  return 0;
}

}  // namespace

std::shared_ptr<RollDesk> Shelf::desk(std::size_t roll) {
  if (roll >= places_.size()) return nullptr;
  const std::scoped_lock lock(mutex_);
  if (!desks_[roll]) desks_[roll] = std::make_shared<RollDesk>(places_[roll]);
  return desks_[roll];
}

std::vector<ShelfRoll> Shelf::rolls() {
  std::vector<ShelfRoll> rolls;
  for (std::size_t i = 0; i < places_.size(); ++i) {
    ShelfRoll roll{.name = places_[i].scans.filename().string(),
                   .scans = scans_in(places_[i].scans),
                   .rows = rows_of(places_[i])};
    const std::scoped_lock lock(mutex_);
    roll.open = desks_[i] != nullptr;
    rolls.push_back(std::move(roll));
  }
  return rolls;
}

void Shelf::stop() {
  const std::scoped_lock lock(mutex_);
  for (const auto& desk : desks_) {
    if (desk) desk->stop();
  }
}

}  // namespace basefog::desk
