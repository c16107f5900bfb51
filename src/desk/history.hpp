// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "desk/sheet.hpp"

namespace basefog::desk {

/// One state of a sheet. Each is a file of its own, named by its number, written whole or not at
/// all and never changed, so that a kill at any moment leaves the last one that was acknowledged.
struct State {
  int number = 0;  ///< from 1, one more with each change, undone ones too
  Sheet sheet;
  std::string step;           ///< changes of one step in a row are taken back as one
  std::optional<int> before;  ///< the state that taking back leads to
  std::optional<int> after;   ///< the one that doing again leads to
};

/// All states of one roll's sheet, in a folder.
class History {
 public:
  /// Takes up where the folder left off; `first` where nothing is there. Throws InputError
  /// (not_writable), and (malformed) where the last state cannot be read.
  History(std::filesystem::path folder, const Sheet& first);

  const State& now() const { return now_; }
  /// On disk when it returns. Throws InputError (not_writable); then nothing has changed.
  const State& change(Sheet sheet, const std::string& step);
  /// Back one step, or forward to what was taken back; false where there is none.
  bool undo();
  bool redo();

 private:
  std::filesystem::path file_of(int number) const;
  std::optional<State> read(int number) const;
  void write(State state);
  void drop_oldest() const;

  std::filesystem::path folder_;
  State now_;
};

}  // namespace basefog::desk
