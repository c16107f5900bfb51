// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/settings.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <array>
#include <cstdlib>
#include <iostream>
#include <memory>

#include "basefog/core/error.hpp"
#include "basefog/core/film_kind.hpp"
#include "basefog/core/limits.hpp"
#include "basefog/density/reading_apart.hpp"
#include "cli/exit_status.hpp"
#include "cli/input_files.hpp"
#include "cli/terminal.hpp"
#include "core/plain_text.hpp"
#include "core/text_file.hpp"
#include "core/toml_text.hpp"
#include "film/film_profile_keys.hpp"
#include "manual/settings_keys.hpp"
#include "report/markup.hpp"
#include "scan/scan_files.hpp"

namespace basefog::cli {
namespace fs = std::filesystem;
namespace {

constexpr const char* kNextStep = "basefog manual settings says what it may hold";

[[noreturn]] void refuse(const fs::path& file, std::string_view key, const toml::node& node,
                         const std::string& problem) {
  throw InputError(ErrorCode::malformed, file,
                   "\"" + std::string(key) + "\" (line " +
                       std::to_string(node.source().begin.line) + ") " + problem,
                   kNextStep);
}

/// Words that stand for themselves where others are names of files.
bool is_word(std::string_view key, const std::string& value) {
  if (key == "film") return film_kind_of(value).has_value();
  if (key == "response") {
    return value == "linear" || value == "srgb" || value.starts_with("gamma=");
  }
  return key == "style" || key == "name" || key == "cache";
}

std::string value_of(const fs::path& file, std::string_view key, const toml::node& node) {
  if (key == "film_speed") {
    const auto speed = node.is_number() ? node.value<double>() : std::nullopt;
    if (!speed || !(*speed >= film::kLeastSpeed && *speed <= film::kMostSpeed)) {
      refuse(file, key, node, "is no film speed");
    }
    return as_marked(FilmSpeed(*speed));
  }
  const auto value = node.value<std::string>();
  if (!node.is_string() || value->empty()) refuse(file, key, node, "is not a text in quotes");
  if (key == "style" && !table_layouts().contains(*value)) {
    refuse(file, key, node, "is none of table, wide and list");
  }
  if (key == "cache" && *value != "on" && *value != "off") {
    refuse(file, key, node, "is neither on nor off");
  }
  if (is_word(key, *value)) return *value;
  return (fs::absolute(file).parent_path() / *value).lexically_normal().string();
}

/// Takes what `settings` does not have yet from a table of a file.
void add(Settings& settings, const toml::table& table, const fs::path& file,
         const std::string& section) {
  for (const auto& [key, node] : table) {
    if (key.str() == "scanner" || (!section.empty() && key.str() == "name")) continue;
    settings.try_emplace(std::string(key.str()),
                         Setting{value_of(file, key.str(), node), file, section});
  }
}

void check_keys(const fs::path& file, const toml::table& table, std::string_view section) {
  if (const auto key = unknown_key(table, section, manual::kSettingsKeys)) {
    refuse(file, *key, *table.get(*key),
           unknown_key_text("a settings file", section, manual::kSettingsKeys));
  }
}

/// Nothing where there is no such file.
std::optional<toml::table> read(const fs::path& file) {
  std::error_code error;
  if (file.empty() || !fs::exists(file, error)) return std::nullopt;
  toml::table table = parse_toml(
      read_text_file(file, {"a settings file", limits::kMostSettingsBytes}), file, kNextStep);
  check_keys(file, table, "");
  return table;
}

/// The name of a scanner's section, and whether it is that of this scanner.
std::pair<std::string, bool> held_against(const toml::table& section, const fs::path& file,
                                          const std::string& scanner) {
  check_keys(file, section, "scanner");
  const toml::node* node = section.get("name");
  if (node == nullptr) refuse(file, "scanner", section, "has no name");
  const std::string name = value_of(file, "name", *node);
  return {name, lower_case(scanner).find(lower_case(name)) != std::string::npos};
}

void add_scanner(Settings& settings, const toml::table& table, const fs::path& file,
                 const std::vector<fs::path>& scans) {
  const toml::node* node = table.get("scanner");
  if (node == nullptr) return;
  const toml::array* sections = node->as_array();
  if (sections == nullptr || !sections->is_array_of_tables()) {
    refuse(file, "scanner", *node, "is no list of sections, as [[scanner]] begins one");
  }
  const std::vector<fs::path> files = scan::expanded(scans, scan::has_scan_extension);
  const std::string scanner =
      files.empty() ? "" : density::scanner_name(files.front(), readers_of_scans());
  for (const toml::node& section : *sections) {
    const auto [name, is_this] = held_against(*section.as_table(), file, scanner);
    if (is_this) add(settings, *section.as_table(), file, name);
  }
}

/// basefog's folder in the one that a variable names, or in `below` of the home folder; empty
/// without either.
fs::path own_folder(const char* variable, const char* below) {
  for (const auto& [name, part] : {std::pair{variable, ""}, {"HOME", below}}) {
    const char* value = std::getenv(name);
    // Relative paths there are to be ignored [XDG].
    if (value != nullptr && fs::path(value).is_absolute()) {
      return fs::path(value) / part / "basefog";
    }
  }
  return {};
}

struct SettingsArguments {
  std::vector<fs::path> scans;
  std::optional<fs::path> log;
};

/// What a file that holds an attack on its decoder could still do.
std::string how_scans_are_read(const apart::Confinement& kept) {
  if (!kept.processes) return "in the program itself; the system allows no processes for it";
  std::string text = "each in a process of its own";
  if (kept.files) text += ", which can open no other file";
  if (kept.calls)
    text += std::string(kept.files ? "," : ", which can") + " write none and reach no network";
  return text + (kept.files && kept.calls ? "" : "; the system allows no more");
}

void print(const Settings& settings) {
  const fs::path file = configuration_file();
  std::error_code error;
  std::cout << "Configuration file: " << report::printable(file.string())
            << (fs::exists(file, error) ? "\n" : ", which is not there\n");
  for (const FileKey& key : manual::kSettingsKeys) {
    if (!key.section.empty()) continue;
    std::string line = report::fit(std::string(key.name), 12);
    if (const auto it = settings.find(std::string(key.name)); it == settings.end()) {
      line += "-";
    } else {
      const Setting& setting = it->second;
      line += setting.value + "   (" + setting.from.string() +
              (setting.section.empty() ? "" : ", scanner \"" + setting.section + "\"") + ")";
    }
    std::cout << report::printable(line) << '\n';
  }
  const auto readers = readers_of_scans();
  std::cout << "Scans are read "
            << how_scans_are_read(readers ? readers->confinement() : apart::Confinement()) << ".\n";
}

}  // namespace

fs::path configuration_file() {
  const fs::path folder = own_folder("XDG_CONFIG_HOME", ".config");
  return folder.empty() ? folder : folder / "config.toml";
}

fs::path cache_folder() { return own_folder("XDG_CACHE_HOME", ".cache"); }

Settings settings_for(const std::optional<fs::path>& log, const std::vector<fs::path>& scans) {
  Settings settings;
  if (log && *log != "-") {
    const fs::path own = fs::path(*log).replace_extension(".toml");
    if (const auto table = read(own)) {
      if (const toml::node* scanner = table->get("scanner")) {
        refuse(own, "scanner", *scanner, "stands in the configuration file alone");
      }
      add(settings, *table, own, "");
    }
  }
  const fs::path file = configuration_file();
  if (const auto table = read(file)) {
    if (const toml::node* speed = table->get("film_speed")) {
      refuse(file, "film_speed", *speed, "is of one roll and stands in the roll's own file");
    }
    add_scanner(settings, *table, file, scans);
    add(settings, *table, file, "");
  }
  return settings;
}

void take_setting(std::optional<fs::path>& argument, const char* key, const Settings& settings) {
  const auto it = settings.find(key);
  if (!argument && it != settings.end()) argument = it->second.value;
}

void take_settings(RollArguments& arguments, const Settings& settings) {
  take_setting(arguments.camera, "camera", settings);
  take_setting(arguments.ledger, "ledger", settings);
  const auto take_text = [&settings](std::string& argument, const char* key) {
    const auto it = settings.find(key);
    if (argument.empty() && it != settings.end()) argument = it->second.value;
  };
  take_text(arguments.film, "film");
  take_text(arguments.response, "response");
  const auto cache = settings.find("cache");
  if (cache != settings.end() && cache->second.value == "off") arguments.no_cache = true;
  const auto speed = settings.find("film_speed");
  if (!arguments.film_speed && speed != settings.end()) {
    arguments.film_speed = std::stod(speed->second.value);
  }
}

void take_settings(ReviewArguments& arguments, const Settings& settings) {
  take_setting(arguments.roll.ledger, "ledger", settings);
  if (!arguments.outputs.any()) take_setting(arguments.outputs.folder, "out", settings);
  const auto style = settings.find("style");
  if (!arguments.layout && style != settings.end()) {
    arguments.layout = table_layouts().at(style->second.value);
  }
}

void add_settings_command(CLI::App& app, int& status) {
  CLI::App* command =
      app.add_subcommand("settings", "Show which settings hold for a roll and where they stand");
  const auto a = std::make_shared<SettingsArguments>();
  command->add_option("scans", a->scans, "The scans of a roll, as files or as a folder")
      ->type_name("FILE|FOLDER");
  command->add_option("--log", a->log, "The roll's log")->type_name("FILE");
  command->footer(
      "Options that a command is given are over all of these; basefog manual settings has the "
      "keys.\n\n  basefog settings scans/roll7 --log roll7.csv\n");
  command->callback([a, &status] {
    check_inputs_exist(a->scans);
    print(settings_for(a->log, a->scans));
    status = kAllMeasured;
  });
}

}  // namespace basefog::cli
