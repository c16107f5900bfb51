// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/desk_command.hpp"

#include <fcntl.h>
#include <spawn.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <csignal>
#include <cstdint>
#include <iostream>
#include <memory>

#include "basefog/core/error.hpp"
#include "basefog/desk/desk.hpp"
#include "basefog/ledger/ledger.hpp"
#include "cli/exit_status.hpp"
#include "cli/input_files.hpp"
#include "cli/rolls.hpp"
#include "cli/settings.hpp"
#include "cli/terminal.hpp"

namespace basefog::cli {
namespace fs = std::filesystem;
namespace {

struct DeskArguments {
  fs::path folder = ".";
  std::optional<fs::path> out;
  int port = 0;
  bool no_open = false;
};

/// A name of its own for a folder wherever it lies: its last part, and a number made of the whole.
std::string own_name(const fs::path& folder) {
  std::uint64_t hash = 0xcbf29ce484222325U;  // FNV-1a
  for (const char c : folder.string()) {
    hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001b3U;
  }
  constexpr std::string_view kDigits = "0123456789abcdef";
  std::string name = folder.filename().string() + "-";
  for (int i = 0; i < 8; ++i) name += kDigits[(hash >> (4 * i)) & 15U];
  return name;
}

/// Settings in the file of a roll's own alone, which go with its log.
std::map<std::string, std::string> own_settings(const std::optional<fs::path>& log) {
  std::map<std::string, std::string> own;
  if (!log) return own;
  const fs::path file = fs::path(*log).replace_extension(".toml");
  for (const auto& [key, setting] : settings_for(log, {})) {
    if (setting.from == file) own[key] = setting.value;
  }
  return own;
}

desk::RollPlace place_of(const fs::path& scans, const fs::path& folder) {
  const std::optional<fs::path> log = log_in(scans);
  return {.scans = scans,
          .folder = folder,
          .log = log,
          .settings = own_settings(log),
          .options = [scans](const fs::path& own_log) {
            RollArguments arguments{.scans = {scans}};
            take_settings(arguments, settings_for(own_log, {scans}));
            return as_review_options(arguments);
          }};
}

/// Hands the address to the person's browser, which is left to itself.
void open_in_browser(const std::string& address) {
  std::string program = "xdg-open";
  std::string word = address;
  char* const words[] = {program.data(), word.data(), nullptr};
  posix_spawn_file_actions_t actions{};
  posix_spawn_file_actions_init(&actions);
  for (const int descriptor : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) {
    posix_spawn_file_actions_addopen(&actions, descriptor, "/dev/null", O_RDWR, 0);
  }
  posix_spawnattr_t attributes{};
  posix_spawnattr_init(&attributes);
  sigset_t none{};
  sigemptyset(&none);
  posix_spawnattr_setsigmask(&attributes, &none);
  posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETSIGMASK);
  pid_t child = 0;
  if (::posix_spawnp(&child, program.c_str(), &actions, &attributes, words, environ) != 0) {
    say("no browser could be opened; open the address above.");
  }
  posix_spawnattr_destroy(&attributes);
  posix_spawn_file_actions_destroy(&actions);
}

int run_desk(const DeskArguments& arguments) {
  readers_of_scans();  // before the server's threads
  const fs::path folder = fs::weakly_canonical(arguments.folder);
  std::error_code error;
  if (!fs::is_directory(folder, error)) {
    throw InputError(ErrorCode::not_found, arguments.folder, "is no folder",
                     "name the folder that the scans are written into");
  }
  const std::vector<fs::path> rolls = roll_folders({folder});
  const fs::path out =
      arguments.out ? *arguments.out
                    : ledger::default_ledger_path().parent_path() / "desk" / own_name(folder);
  check_outputs({out / "log.csv"}, {.scans = {folder}});
  desk::DeskOptions options{.port = arguments.port};
  if (rolls.empty()) options.rolls.push_back(place_of(folder, out));
  for (const fs::path& roll : rolls) {
    options.rolls.push_back(place_of(roll, out / roll.filename()));
  }
  options.opened = [&](const std::string& address) {
    std::cout << address << std::endl;
    check_stdout();
    if (!arguments.no_open) open_in_browser(address);
  };
  desk::serve(options);
  return kAllMeasured;
}

}  // namespace

void add_desk_command(CLI::App& app, int& status) {
  CLI::App* command = app.add_subcommand("desk", "Work on a roll, or on many, in the browser");
  const auto a = std::make_shared<DeskArguments>();
  command->add_option("folder", a->folder, "The folder that scans are written into; or of rolls")
      ->type_name("FOLDER")
      ->default_str(".");
  command->add_option("--out", a->out, "The desk's own folder; default: in the data folder")
      ->type_name("FOLDER");
  command->add_option("--port", a->port, "The port to listen at; 0 for any that is free")
      ->check(CLI::Range(0, 65535))
      ->type_name("N")
      ->capture_default_str();
  command->add_flag("--no-open", a->no_open, "Open no browser; only print the address");
  command->footer(
      "Prints one address, which only this machine can reach and only who has it can use, and "
      "serves until interrupted (Ctrl and C). Scans show as they are written into the folder; the "
      "log is typed beside the pictures, or pasted, and each change shows in the numbers. All of "
      "it is kept in the desk's own folder as log.csv and match.csv, which basefog review takes; "
      "nothing is written among the scans. basefog manual desk says more.\n\n"
      "  basefog desk scans/roll7 --out roll7-desk\n");
  command->callback([a, &status] { status = run_desk(*a); });
}

}  // namespace basefog::cli
