// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/read_command.hpp"

#include <CLI/CLI.hpp>
#include <iostream>
#include <memory>
#include <set>

#include "basefog/area/layout_hint.hpp"
#include "basefog/core/error.hpp"
#include "basefog/density/reading_apart.hpp"
#include "basefog/density/scan_record.hpp"
#include "basefog/print/layout_picture.hpp"
#include "basefog/report/layout_report.hpp"
#include "cli/exit_status.hpp"
#include "cli/input_files.hpp"
#include "cli/outputs.hpp"
#include "cli/settings.hpp"
#include "cli/terminal.hpp"
#include "core/whole_file.hpp"
#include "scan/scan_files.hpp"

namespace basefog::cli {
namespace fs = std::filesystem;
namespace {

/// What each scan is written to in a folder: its name as `part_of` gives it, and ending, numbered
/// where two scans have one name.
std::vector<fs::path> files_in(const fs::path& folder, const std::vector<fs::path>& scans,
                               fs::path (fs::path::*part_of)() const, const std::string& ending) {
  std::vector<fs::path> files;
  std::set<fs::path> taken;
  constexpr std::size_t kLongest = 230;  // leaves room for ending and number
  for (const fs::path& scan : scans) {
    const std::string name = folder / name_within((scan.*part_of)().string(), kLongest);
    fs::path file = name + ending;
    for (int k = 2; !taken.insert(file).second; ++k) {
      file = std::string(name).append("-").append(std::to_string(k)).append(ending);
    }
    files.push_back(std::move(file));
  }
  return files;
}

/// Where the picture of each scan goes: a .png serves one scan only. Empty where none is asked for.
std::vector<fs::path> picture_files(const std::optional<fs::path>& target,
                                    const std::vector<fs::path>& scans) {
  if (!target) return {};
  if (target->extension() != ".png")
    return files_in(*target, scans, &fs::path::stem, "-layout.png");
  if (scans.size() > 1) {
    throw InputError(ErrorCode::usage, *target, "is one file for several scans", "name a folder");
  }
  return {*target};
}

ExitStatus status_of(std::size_t read, std::size_t scans) {
  if (read == 0) return kNothingMeasured;
  return read == scans ? kAllMeasured : kSomeNotMeasured;
}

/// Writes a record of each scan, of one that cannot be read too: nothing is lost.
ExitStatus write_records(const std::vector<fs::path>& scans, const std::vector<fs::path>& files,
                         const density::MeasureOptions& options) {
  std::size_t read = 0;
  for (std::size_t i = 0; i < scans.size(); ++i) {
    const density::ScanRecord record = density::measure_scan(scans[i], options);
    write_output(files[i], [&](std::ostream& out) { out << density::scan_record_text(record); });
    if (record.failure) {
      say(scans[i].string() + " " + record.failure->text + "; " + record.failure->next_step + ".");
    } else {
      ++read;
    }
  }
  return status_of(read, scans.size());
}

/// Measures a scan and draws what was found over it, for which it is always read.
density::ScanRecord drawn(const fs::path& file, const fs::path& picture,
                          const density::MeasureOptions& options) {
  const scan::Scan scan = density::read_scan(file, options.read);
  const area::FilmLayout layout = area::find_film(scan, options.layout);
  write_output(picture, [&](std::ostream& out) { print::write_layout_picture(out, scan, layout); });
  return density::record_of(scan, layout, options.picture_side);
}

/// Prints what each scan holds, draws it where there are `pictures`, a file a scan.
ExitStatus show_scans(const std::vector<fs::path>& scans, const std::optional<fs::path>& json,
                      const std::vector<fs::path>& pictures,
                      const density::MeasureOptions& options) {
  std::vector<std::string> objects;
  for (std::size_t i = 0; i < scans.size(); ++i) {
    try {
      const density::ScanRecord record = pictures.empty() ? density::measure_scan(scans[i], options)
                                                          : drawn(scans[i], pictures[i], options);
      if (const auto& failure = record.failure) {
        throw InputError(ErrorCode::unreadable, scans[i], failure->text, failure->next_step);
      }
      const auto& [scan, layout] = *record.finding;
      objects.push_back(report::layout_json(scan, layout, record.frames));
      if (!json || !is_stdout(*json)) report::write_layout(std::cout, scan, layout, record.frames);
    } catch (const InputError& error) {
      // One bad file never sinks the others; an output that cannot be written is no bad file.
      if (error.path() != scans[i]) throw;
      say(std::string(error.what()) + ".");
    }
  }
  if (json) {
    write_output(*json, [&](std::ostream& out) { report::write_layouts_json(out, objects); });
  }
  return status_of(objects.size(), scans.size());
}

}  // namespace

int run_read(const ReadArguments& arguments) {
  density::MeasureOptions options;
  options.read.apart = readers_of_scans();
  RollArguments roll{.scans = arguments.scans, .response = arguments.response};
  roll.no_cache = arguments.no_cache;
  take_settings(roll, settings_for({}, arguments.scans));
  if (!roll.response.empty()) options.read.response = response::parse_response(roll.response);
  options.read.light = arguments.light;
  if (!arguments.layout.empty()) options.layout = area::parse_layout(arguments.layout);
  Inputs inputs{.scans = arguments.scans};
  if (arguments.light) inputs.scans.push_back(*arguments.light);
  check_inputs_exist(inputs.scans);
  if (!roll.response.empty()) inputs.files.emplace_back(roll.response);
  options.store = kept_scans(roll.no_cache, inputs);
  const std::vector<fs::path> scans = scan::find_scans(arguments.scans);
  const std::vector<fs::path> pictures = picture_files(arguments.show_layout, scans);
  check_outputs(pictures, inputs);
  if (!arguments.record) {
    if (arguments.json) check_outputs({*arguments.json}, inputs);
    return show_scans(scans, arguments.json, pictures, options);
  }
  if (!pictures.empty() || arguments.json) {
    throw InputError(ErrorCode::usage, "--record", "goes without --show-layout and --json",
                     "run the command twice");
  }
  // With the scan's ending, so that runs for a.tif and for a.jpg do not write one file.
  const std::vector<fs::path> files =
      files_in(*arguments.record, scans, &fs::path::filename, ".json");
  check_outputs(files, inputs);
  return write_records(scans, files, options);
}

void add_read_command(CLI::App& app, int& status) {
  CLI::App* command = app.add_subcommand("read", "Show what each scan holds: frames, clear film");
  const auto a = std::make_shared<ReadArguments>();
  command->add_option("scans", a->scans, "Scans, or a folder of scans")
      ->required()
      ->type_name("FILE|FOLDER");
  command->add_option("--layout", a->layout, "How the film lies, where it is guessed wrong")
      ->type_name("WORDS");
  command
      ->add_option("--show-layout", a->show_layout,
                   "Draw what was found over the scan: a .png for one scan, or a folder")
      ->type_name("FILE|FOLDER");
  command
      ->add_option("--record", a->record,
                   "Write a record of each scan here, for basefog review --from")
      ->type_name("FOLDER");
  add_json_option(*command, a->json);
  command->add_option("--response", a->response, "How codes stand for light, or a response file")
      ->type_name("linear|srgb|gamma=N|FILE");
  command->add_option("--light", a->light, "A shot of the bare light source, same exposure")
      ->type_name("FILE");
  add_cache_option(*command, a->no_cache);
  command->footer(
      "--layout takes words separated by commas: single, strip or sheet; the pictures' format in "
      "mm, such as 24x36 or 60x60; frames=N on a strip; strips=N; order=right, left, down or up, "
      "where the next frame lies; next-strip= likewise.\n\n"
      "  basefog read sheets/sheet.tif --show-layout found.png\n"
      "  basefog read sheets/sheet.tif --layout sheet,24x36,frames=6,order=left\n\n"
      "Records let many machines read an archive, a scan or more at a time, and one review it:\n\n"
      "  basefog read scans/roll7_01.tif --record records/\n"
      "  basefog review --from records/ --log roll7.csv\n");
  command->callback([a, &status] { status = run_read(*a); });
}

}  // namespace basefog::cli
