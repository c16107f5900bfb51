// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>

namespace CLI {
class App;
}

namespace basefog::cli {

/// The words of `basefog log`, as given.
struct LogArguments {
  std::filesystem::path log;
  std::optional<std::filesystem::path> camera;
  std::optional<std::filesystem::path> json;
};

/// Prints how each row of a log was understood. Status 1 where something was doubtful.
int run_log(const LogArguments& arguments);

/// The words of `basefog logsheet`, as given.
struct LogsheetArguments {
  std::filesystem::path out;  ///< .csv to fill in on a computer, .svg to print
  std::optional<std::filesystem::path> camera;
  int frames = 36;
  int first_frame = 1;
  std::string roll;
  std::string film;
  std::optional<double> film_speed;
  std::optional<double> ei;
};

/// Writes a blank log; a printed one of several pages as NAME-1.svg, NAME-2.svg, ...
int run_logsheet(const LogsheetArguments& arguments);

/// `basefog log FILE`
void add_log_command(CLI::App& app, int& status);

/// `basefog logsheet FILE`
void add_logsheet_command(CLI::App& app, int& status);

}  // namespace basefog::cli
