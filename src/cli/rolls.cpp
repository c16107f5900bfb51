// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/rolls.hpp"

#include <algorithm>
#include <exception>
#include <iostream>

#include "basefog/core/error.hpp"
#include "basefog/page/rolls_page.hpp"
#include "basefog/report/roll_summary.hpp"
#include "basefog/scan/scan.hpp"
#include "cli/exit_status.hpp"
#include "cli/input_files.hpp"
#include "cli/settings.hpp"
#include "cli/terminal.hpp"
#include "core/plain_text.hpp"
#include "scan/scan_files.hpp"

namespace basefog::cli {
namespace fs = std::filesystem;
namespace {

bool holds_scans(const fs::path& folder) {
  std::error_code error;
  for (fs::directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) {
    std::error_code not_a_file;
    if (it->is_regular_file(not_a_file) && scan::has_scan_extension(it->path())) return true;
  }
  return false;
}

std::vector<fs::path> folders_in(const fs::path& folder) {
  std::vector<fs::path> folders;
  std::error_code error;
  for (fs::directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) {
    std::error_code not_a_folder;
    if (it->is_directory(not_a_folder) && holds_scans(it->path())) folders.push_back(it->path());
  }
  std::sort(folders.begin(), folders.end(), [](const fs::path& a, const fs::path& b) {
    return scan::counts_before(a.filename().string(), b.filename().string());
  });
  return folders;
}

/// What makes no sense for several rolls, and an output folder among the inputs.
void check(const ReviewArguments& arguments) {
  const Outputs& outputs = arguments.outputs;
  const fs::path& shelf = arguments.roll.scans.front();
  if (outputs.json || outputs.csv || outputs.html) {
    throw InputError(ErrorCode::usage, shelf, "holds several rolls, and this output is of one",
                     "name a folder for all of them with --out, or one roll");
  }
  if (arguments.roll.log || arguments.roll.match) {
    throw InputError(ErrorCode::usage, shelf, "holds several rolls, and a log is of one",
                     "put each log into its roll's folder, or name one roll");
  }
  if (!arguments.roll_name.empty()) {
    throw InputError(ErrorCode::usage, shelf, "holds several rolls, and --roll names one",
                     "leave it out, for each goes by its log's or its folder's name");
  }
  if (!outputs.folder) return;
  check_outputs({*outputs.folder / "index.html"}, inputs_of(arguments.roll));
}

/// The arguments of one of the rolls.
ReviewArguments for_roll(const ReviewArguments& all, const fs::path& folder,
                         const std::string& name) {
  ReviewArguments one = all;
  one.roll.scans = {folder};
  one.roll.log = log_in(folder);
  if (all.outputs.folder) one.outputs.folder = *all.outputs.folder / name;
  take_settings(one.roll, settings_for(one.roll.log, {folder}));
  return one;
}

struct RollOutcome {
  page::RollEntry roll;
  ExitStatus status = kNothingMeasured;
};

/// A roll that says too little for the ledger was reviewed all the same.
bool try_to_remember(const ReviewArguments& arguments, const roll::Analysis& analysis,
                     const std::string& name) {
  try {
    remember_roll(arguments, analysis);
    return true;
  } catch (const InputError& error) {
    say("roll " + name + " is not remembered: " + error.what() + ".");
    return false;
  }
}

RollOutcome review_one(const ReviewArguments& all, const fs::path& folder,
                       const std::string& name) {
  RollOutcome outcome;
  try {
    const ReviewArguments arguments = for_roll(all, folder, name);
    roll::Analysis analysis = roll::review(arguments.roll.scans, review_options(arguments));
    add_previous_roll(arguments, analysis);
    write_results(arguments, analysis, "../index.html");
    outcome.roll.summary = report::summarise(name, analysis);
    if (arguments.outputs.folder) {
      outcome.roll.summary.report = fs::path(name) / "report.html";
      outcome.roll.strip = page::picture_strip(analysis);
    }
    outcome.status = exit_status_of(analysis);
    if (arguments.roll.quiet && !outcome.roll.summary.trouble.empty()) {
      say("roll " + name + ": " + outcome.roll.summary.trouble);
    }
    if (arguments.remember && !try_to_remember(arguments, analysis, name)) {
      outcome.status = kSomeNotMeasured;
    }
  } catch (const std::exception& error) {
    outcome.roll = {};
    outcome.roll.summary.name = name;
    outcome.roll.summary.failure = std::string(error.what()) + ".";
    // Otherwise the table shows it.
    if (all.roll.quiet) say("roll " + name + ": " + outcome.roll.summary.failure);
  }
  return outcome;
}

/// Two folders of one name get numbers.
std::vector<std::string> names_of(const std::vector<fs::path>& folders) {
  std::vector<std::string> names;
  for (const fs::path& folder : folders) {
    const std::string plain = folder.filename().string();
    std::string name = plain;
    for (int k = 2; std::find(names.begin(), names.end(), name) != names.end(); ++k) {
      name = plain + "-" + std::to_string(k);
    }
    names.push_back(name);
  }
  return names;
}

}  // namespace

std::vector<fs::path> roll_folders(const std::vector<fs::path>& inputs) {
  std::vector<fs::path> folders;
  for (const fs::path& input : inputs) {
    std::error_code error;
    if (!fs::is_directory(input, error) || holds_scans(input)) return {};
    const std::vector<fs::path> some = folders_in(input);
    folders.insert(folders.end(), some.begin(), some.end());
  }
  return folders;
}

std::optional<fs::path> log_in(const fs::path& folder) {
  const std::vector<fs::path> tables = scan::expanded({folder}, is_table_file);
  for (const fs::path& path : tables) {
    if (lower_case(path.stem().string()) == "log") return path;
  }
  if (tables.size() > 1) {
    say(folder.string() + " holds " + std::to_string(tables.size()) +
        " tables, none of them named log.csv, so no log was taken.");
  }
  return tables.size() == 1 ? std::optional(tables.front()) : std::nullopt;
}

int run_rolls(const ReviewArguments& arguments, const std::vector<fs::path>& folders) {
  check(arguments);
  const std::vector<std::string> names = names_of(folders);
  std::vector<page::RollEntry> entries;
  std::size_t all = 0;
  std::size_t none = 0;
  for (std::size_t i = 0; i < folders.size(); ++i) {
    if (!arguments.roll.quiet) {
      say("roll " + std::to_string(i + 1) + " of " + std::to_string(folders.size()) + ": " +
          folders[i].filename().string());
    }
    RollOutcome outcome = review_one(arguments, folders[i], names[i]);
    all += outcome.status == kAllMeasured ? 1 : 0;
    none += outcome.status == kNothingMeasured ? 1 : 0;
    entries.push_back(std::move(outcome.roll));
  }
  std::ranges::stable_sort(entries, report::needs_more_attention, &page::RollEntry::summary);
  std::vector<report::RollSummary> rolls;
  for (const page::RollEntry& entry : entries) rolls.push_back(entry.summary);
  if (const auto& out = arguments.outputs.folder) {
    write_output(*out / "index.html",
                 [&](std::ostream& to) { page::write_rolls_html(to, entries); });
    write_output(*out / "rolls.csv", [&](std::ostream& to) { report::write_rolls_csv(to, rolls); });
  }
  if (!arguments.roll.quiet)
    report::write_rolls_table(std::cout, rolls, terminal_style(arguments.colour));
  if (all == rolls.size()) return kAllMeasured;
  return none == rolls.size() ? kNothingMeasured : kSomeNotMeasured;
}

}  // namespace basefog::cli
