// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/calibrate_scanner_command.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <array>
#include <cstdio>
#include <string>
#include <vector>

#include "basefog/core/error.hpp"
#include "basefog/density/reading_apart.hpp"
#include "basefog/scan/scan.hpp"
#include "basefog/tablet/scanner_calibration.hpp"
#include "cli/exit_status.hpp"
#include "cli/input_files.hpp"
#include "cli/option_checks.hpp"
#include "cli/outputs.hpp"
#include "report/markup.hpp"

namespace basefog::cli {
namespace {

std::vector<tablet::TabletPatch> patches_on_scan(const CalibrateScannerArguments& arguments) {
  if (!arguments.steps) {
    throw InputError(ErrorCode::usage, arguments.tablet,
                     "needs the densities of the tablet's steps",
                     "name them with --steps FILE, one density a line");
  }
  const std::vector<Density> densities = tablet::read_step_densities(*arguments.steps);
  // Read as linear, light is the code itself.
  scan::ReadOptions options;
  options.response = response::Response{};
  options.apart = readers_of_scans();
  const scan::Scan scan = density::read_scan(arguments.tablet, options);
  const std::vector<tablet::PatchRegion> regions =
      arguments.patches ? tablet::read_patch_regions(*arguments.patches)
                        : tablet::find_tablet_patches(scan, static_cast<int>(densities.size()));
  return tablet::measure_patches(scan, regions, densities);
}

void print_channel(const tablet::ScannerCalibration& calibration, std::size_t channel) {
  const tablet::ChannelCalibration& c = calibration.channels[channel];
  constexpr std::array<const char*, 3> kNames = {"red", "green", "blue"};
  if (calibration.channels.size() == 3) std::printf("%s\n", kNames[channel]);
  std::printf("  code = %.5f + %.5f x (10^-D%s)^%.4f%s, of full scale\n", c.black, c.scale,
              c.flare > 0 ? " + flare" : "", c.exponent,
              c.corrected ? ", then corrected step by step" : "");
  if (!c.black_fitted) {
    std::printf("  a power law alone: black takes five patches or more to measure\n");
  }
  if (c.flare > 0) std::printf("  flare %.2f %% of full light\n", 100 * c.flare);
  std::printf("  usable from density %.2f to %.2f, where %s\n", c.lightest.value(),
              c.densest.value(), c.noise_limited ? "noise ends it" : "the tablet ends");
  std::printf("  read back: rms %.4f, worst %.4f in density\n", c.rms_residual.value(),
              c.worst_residual.value());
  std::printf("  density  read back less known\n");
  for (std::size_t i = 0; i < calibration.patches.size(); ++i) {
    const double density = calibration.patches[i].density.value();
    if (c.residuals[i]) {
      std::printf("  %7.2f  %+.4f\n", density, c.residuals[i]->value());
    } else {
      std::printf("  %7.2f  cannot be read: at the white limit, or too near black\n", density);
    }
  }
}

}  // namespace

int run_calibrate_scanner(const CalibrateScannerArguments& arguments) {
  const bool table = is_table_file(arguments.tablet);
  Inputs inputs;
  (table ? inputs.files : inputs.scans).push_back(arguments.tablet);
  for (const auto& file : {arguments.steps, arguments.patches}) {
    if (file) inputs.files.push_back(*file);
  }
  check_inputs_exist(inputs.scans);
  check_inputs_exist(inputs.files);
  check_outputs({arguments.out}, inputs);

  const std::vector<tablet::TabletPatch> patches =
      table ? tablet::read_patch_codes(arguments.tablet, arguments.full_scale)
            : patches_on_scan(arguments);
  tablet::CalibrationOptions options;
  options.tablet_sigma = arguments.tablet_sigma;
  if (table) options.full_scale = arguments.full_scale;
  options.source = "step tablet of " + std::to_string(patches.size()) + " steps, " +
                   arguments.tablet.filename().string();
  const tablet::ScannerCalibration calibration = tablet::calibrate_scanner(patches, options);
  tablet::write_response_file(arguments.out, calibration);

  std::printf("%s\n", report::printable(calibration.source).c_str());
  for (std::size_t c = 0; c < calibration.channels.size(); ++c) print_channel(calibration, c);
  std::printf("Written to %s. Use it with: basefog review SCANS --response %s\n",
              report::printable(arguments.out.string()).c_str(),
              report::printable(arguments.out.string()).c_str());
  return kAllMeasured;
}

void add_calibrate_scanner_command(CLI::App& calibrate, int& status) {
  CLI::App* command = calibrate.add_subcommand(
      "scanner", "Measure a scanner's response from a step tablet, for --response");
  const auto a = std::make_shared<CalibrateScannerArguments>();
  command->add_option("tablet", a->tablet, "A scan of the tablet, or a table of code,density lines")
      ->type_name("FILE")
      ->type_name("FILE")
      ->required();
  command->add_option("--steps", a->steps, "Densities of the tablet's steps, lightest first")
      ->type_name("FILE");
  command->add_option("--patches", a->patches, "Where the patches are: x,y,width,height in pixels")
      ->type_name("FILE");
  command->add_option("--tablet-sigma", a->tablet_sigma, "How sure the tablet's densities are")
      ->check(positive_number())
      ->type_name("N")
      ->capture_default_str();
  command->add_option("--full-scale", a->full_scale, "Full scale of the codes in a table")
      ->check(positive_number())
      ->type_name("N")
      ->capture_default_str();
  command->add_option("--out", a->out, "The response file to write")->required()->type_name("FILE");
  command->footer(
      "  basefog calibrate scanner step/tablet.tif --steps steps.txt --out scanner.toml\n"
      "  basefog review scans/ --response scanner.toml\n");
  command->callback([a, &status] { status = run_calibrate_scanner(*a); });
}

}  // namespace basefog::cli
