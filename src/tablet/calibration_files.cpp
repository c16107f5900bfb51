// SPDX-License-Identifier: GPL-3.0-or-later
// The files of a scanner calibration: tables of steps, codes and patches in, the response file out.
#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <string>
#include <string_view>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"
#include "basefog/tablet/scanner_calibration.hpp"
#include "core/whole_file.hpp"
#include "film/table_cells.hpp"
#include "response/response_file.hpp"

namespace basefog::tablet {
namespace {

namespace fs = std::filesystem;

/// Codes in response files are written in units of 16 bits.
constexpr double kFileScale = 65535;

[[noreturn]] void malformed(const fs::path& path, std::string problem) {
  throw InputError(ErrorCode::malformed, path, std::move(problem),
                   "write one step a line, numbers with a decimal point, a comma between them");
}

/// The numbers of a line; absent where one is not a number.
std::optional<std::vector<double>> numbers_of(std::string_view line) {
  std::vector<double> numbers;
  for (const std::string& cell : film::table_cells(line)) {
    const std::optional<double> value = film::number_in_cell(cell);
    if (!value) return std::nullopt;
    numbers.push_back(*value);
  }
  return numbers;
}

/// All rows of numbers in a file; the first line may be words, lines of nothing or # are left out.
std::vector<std::vector<double>> read_rows(const fs::path& path) {
  std::vector<std::vector<double>> rows;
  bool head_allowed = true;
  for (const film::TableLine& line :
       film::table_lines(path, {"a table of steps", limits::kMostSettingsBytes})) {
    std::string_view content = line.text;
    content = content.substr(0, content.find('#'));
    content = content.substr(0, content.find_last_not_of(" \t\r") + 1);
    const auto numbers = numbers_of(content);
    if (!numbers && !head_allowed) {
      malformed(path, fmt::format("line {} is not numbers", line.number));
    }
    head_allowed = false;
    if (!numbers) continue;
    if (!rows.empty() && numbers->size() != rows.front().size()) {
      malformed(path, fmt::format("line {} has {} numbers where the first has {}", line.number,
                                  numbers->size(), rows.front().size()));
    }
    rows.push_back(*numbers);
    if (rows.size() > limits::kMostTableRows) {
      malformed(path, fmt::format("has more than {} lines of numbers", limits::kMostTableRows));
    }
  }
  if (rows.empty()) malformed(path, "has no line of numbers");
  return rows;
}

response::ResponseChannel file_channel(const ScannerCalibration& calibration, std::size_t index) {
  const ChannelCalibration& from = calibration.channels[index];
  response::ResponseChannel to;
  to.fit = {{"black", from.black * kFileScale},
            {"scale", from.scale * kFileScale},
            {"exponent", from.exponent},
            {"flare", from.flare},
            {"residual_rms", from.rms_residual.value()},
            {"residual_worst", from.worst_residual.value()},
            {"lightest", from.lightest.value()},
            {"densest_usable", from.densest.value()}};
  for (std::size_t i = 0; i < calibration.patches.size(); ++i) {
    const TabletPatch& patch = calibration.patches[i];
    const auto& residual = from.residuals[i];
    to.steps.push_back({patch.codes[index].mean * kFileScale, patch.density.value(),
                        residual ? residual->value() : std::numeric_limits<double>::quiet_NaN()});
  }
  for (const auto& point : from.curve) {
    to.curve.push_back({point.code * kFileScale, point.density.value()});
  }
  return to;
}

response::ResponseFile file_of(const ScannerCalibration& calibration) {
  response::ResponseFile file;
  file.source = calibration.source;
  file.full_scale = kFileScale;
  file.relative_sigma = calibration.relative_sigma;
  for (std::size_t c = 0; c < calibration.channels.size(); ++c) {
    file.densest = std::min(file.densest, calibration.channels[c].densest.value());
    file.channels.push_back(file_channel(calibration, c));
  }
  return file;
}

}  // namespace

response::Response response_of(const ScannerCalibration& calibration) {
  return response::response_of(file_of(calibration));
}

void write_response_file(const fs::path& path, const ScannerCalibration& calibration) {
  write_whole_file(path, response::text_of(file_of(calibration)));
}

std::vector<Density> read_step_densities(const fs::path& path) {
  std::vector<Density> densities;
  for (const std::vector<double>& row : read_rows(path)) {
    if (row.size() > 2) malformed(path, "has more than a step's number and its density on a line");
    densities.push_back(Density::from_value(row.back()));
    if (densities.size() > 1 && !(densities.back() > densities[densities.size() - 2])) {
      malformed(path, fmt::format("density {:g} is not above the one before it", row.back()));
    }
  }
  return densities;
}

std::vector<TabletPatch> read_patch_codes(const fs::path& path, double full_scale) {
  std::vector<TabletPatch> patches;
  for (const std::vector<double>& row : read_rows(path)) {
    if (row.size() != 2 && row.size() != 4) {
      malformed(path, "has lines that are neither code,density nor red,green,blue,density");
    }
    TabletPatch patch;
    patch.density = Density::from_value(row.back());
    for (std::size_t c = 0; c + 1 < row.size(); ++c) {
      if (row[c] < 0 || row[c] > full_scale) {
        malformed(path, fmt::format("code {:g} is not between 0 and {:g}", row[c], full_scale));
      }
      PatchCode code;
      code.mean = row[c] / full_scale;
      code.clipped = row[c] >= full_scale;
      patch.codes.push_back(code);
    }
    patches.push_back(std::move(patch));
  }
  return patches;
}

std::vector<PatchRegion> read_patch_regions(const fs::path& path) {
  std::vector<PatchRegion> regions;
  for (const std::vector<double>& row : read_rows(path)) {
    if (row.size() != 4 || !(row[2] > 0) || !(row[3] > 0)) {
      malformed(path, "has lines that are not x,y,width,height");
    }
    regions.push_back({row[0] + row[2] / 2, row[1] + row[3] / 2, row[2], row[3], 0});
  }
  return regions;
}

}  // namespace basefog::tablet
