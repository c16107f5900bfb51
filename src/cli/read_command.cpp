// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/read_command.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <iostream>
#include <memory>

#include "basefog/error.hpp"
#include "basefog/layout_hint.hpp"
#include "basefog/layout_report.hpp"
#include "cli/exit_status.hpp"
#include "cli/outputs.hpp"
#include "roll/scan_files.hpp"

namespace basefog::cli {
namespace fs = std::filesystem;
namespace {

/// Where the picture of each scan goes. One .png serves one scan only; a folder takes
/// NAME-layout.png of each, numbered where two scans have one name.
class PictureFiles {
 public:
  PictureFiles(const std::optional<fs::path>& target, const std::vector<fs::path>& scans,
               const std::vector<fs::path>& inputs) {
    if (!target) return;
    if (target->extension() == ".png") {
      if (scans.size() > 1) {
        throw InputError(ErrorCode::usage, *target, "is one file for several scans",
                         "name a folder");
      }
      files_.push_back(*target);
    }
    for (std::size_t i = files_.size(); i < scans.size(); ++i) {
      const std::string stem = (*target / scans[i].stem()).string();
      fs::path file = stem + "-layout.png";
      for (int n = 2; std::find(files_.begin(), files_.end(), file) != files_.end(); ++n) {
        file = stem + "-" + std::to_string(n) + "-layout.png";
      }
      files_.push_back(file);
    }
    // Refused before any work, as review does.
    for (const fs::path& file : files_) check_outputs({.json = file}, inputs);
  }

  /// Empty where none is asked for.
  fs::path of(std::size_t scan) const { return files_.empty() ? fs::path() : files_[scan]; }

 private:
  std::vector<fs::path> files_;
};

}  // namespace

int run_read(const ReadArguments& arguments) {
  ReadOptions options;
  if (!arguments.response.empty()) options.response = parse_response(arguments.response);
  options.light = arguments.light;
  const LayoutHint hint = arguments.layout.empty() ? LayoutHint{} : parse_layout(arguments.layout);
  const std::vector<fs::path> scans = find_scans(arguments.scans);
  std::vector<fs::path> inputs = arguments.scans;
  if (arguments.light) inputs.push_back(*arguments.light);
  const PictureFiles pictures(arguments.show_layout, scans, inputs);

  std::size_t read = 0;
  for (std::size_t i = 0; i < scans.size(); ++i) {
    try {
      const Scan scan = read_scan(scans[i], options);
      const FilmLayout layout = find_film(scan, hint);
      write_layout(std::cout, scan, layout, measure_frames(scan, layout));
      if (!pictures.of(i).empty()) {
        write_output(pictures.of(i),
                     [&](std::ostream& out) { write_layout_picture(out, scan, layout); });
      }
      ++read;
    } catch (const InputError& error) {
      // One bad file never sinks the others; an output that cannot be written is no bad file.
      if (error.path() != scans[i]) throw;
      std::cerr << "basefog: " << error.what() << ".\n";
    }
  }
  if (read == 0) return kNothingMeasured;
  return read == scans.size() ? kAllMeasured : kSomeNotMeasured;
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
  command->add_option("--response", a->response, "How codes stand for light, or a response file")
      ->type_name("linear|srgb|gamma=N|FILE");
  command->add_option("--light", a->light, "A shot of the bare light source, same exposure")
      ->type_name("FILE");
  command->footer(
      "--layout takes words separated by commas: single, strip or sheet; the pictures' format in "
      "mm, such as 24x36 or 60x60; frames=N on a strip; strips=N; order=right, left, down or up, "
      "where the next frame lies; next-strip= likewise.\n\n"
      "  basefog read sheet.tif --show-layout found.png\n"
      "  basefog read sheet.tif --layout sheet,24x36,frames=6,order=left\n");
  command->callback([a, &status] { status = run_read(*a); });
}

}  // namespace basefog::cli
