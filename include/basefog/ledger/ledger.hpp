// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "basefog/memory/kept_roll.hpp"
#include "basefog/meter/bias_history.hpp"

namespace basefog::ledger {

/// Where the ledger is kept when nobody says otherwise: basefog/ledger.db in the user's data
/// folder, $XDG_DATA_HOME or ~/.local/share [XDG]. Throws InputError (usage) where neither is
/// known.
std::filesystem::path default_ledger_path();

/// Our store of every reviewed roll: one file, an SQLite database in write-ahead mode.
///
/// What was written stays written: a roll goes in whole or not at all, whatever happens to the
/// program, and several programs may use one ledger at the same time (each waits up to 20 s for
/// the others). Not for network folders, which do not keep such promises.
class Ledger {
 public:
  /// What a ledger is opened for.
  enum class Access {
    read,   ///< rolls() alone
    write,  ///< all
  };

  /// Opens the ledger, and for writing makes it where there is none, with its folder. A ledger
  /// written by an earlier basefog is brought up to date, also when opened to read. Throws
  /// InputError: not_found (to read), malformed (not a ledger, or written by a later basefog),
  /// unreadable, not_writable.
  Ledger(const std::filesystem::path& path, Access access);
  Ledger(Ledger&&) noexcept;  ///< the other one can only be destroyed or assigned to then
  Ledger& operator=(Ledger&&) noexcept;
  ~Ledger();

  /// Keeps a roll and what it said of its film, where that was named. The same roll again (name and
  /// camera) replaces what was kept of it. Returns true where it was there before. Throws
  /// InputError: usage, where another roll is kept under that name; not_writable (disk full, no
  /// permission), and then nothing is changed.
  bool remember(const meter::RememberedRoll& roll,
                const std::optional<memory::KeptFilm>& film = {});

  /// Removes a roll; false where there is none of that name and camera. Throws InputError
  /// (not_writable).
  bool forget(const std::string& name, const std::string& camera);

  /// All rolls, by camera, then by date, then by name. Throws InputError (malformed, unreadable).
  std::vector<meter::RememberedRoll> rolls() const;

  /// The newest of a camera's rolls on a film (both as written) up to a day (ISO 8601; empty: any),
  /// newest first, at most `most`.
  std::vector<meter::RememberedRoll> newest(const std::string& camera, const std::string& film,
                                            const std::string& day, int most) const;

  /// What they said of their films, by date, then by name.
  std::vector<memory::FilmLesson> lessons() const;

  /// All rolls of a film (memory::is_same_film), with what is needed to read them again.
  std::vector<memory::KeptRoll> kept(const std::string& film) const;

 private:
  class Store;
  std::unique_ptr<Store> store_;
};

}  // namespace basefog::ledger
