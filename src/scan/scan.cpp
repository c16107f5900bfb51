// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/scan.hpp"

#include "basefog/error.hpp"
#include "scan/block_accumulator.hpp"
#include "scan/decoder.hpp"
#include "scan/light_table.hpp"
#include "scan/orientation.hpp"
#include "scan/scan_metadata.hpp"
#include "scan/scan_response.hpp"

namespace basefog {
namespace {

constexpr int kLeastBlocks = 100;

}  // namespace

std::string ReadOptions::validate() const {
  if (most_blocks < kLeastBlocks)
    return "most_blocks must be at least " + std::to_string(kLeastBlocks) + ".";
  return "";
}

Scan read_scan(const std::filesystem::path& path, const ReadOptions& options) {
  if (const std::string problem = options.validate(); !problem.empty())
    throw InputError(ErrorCode::usage, path, problem, "change the option");
  const std::unique_ptr<Decoder> decoder = open_scan(path);
  Picture picture = decoder->picture();
  const FileMetadata file = read_metadata(path, picture);
  if (picture.container != ScanFormat::tiff) picture.orientation = file.orientation.value_or(1);

  Scan scan;
  scan.path = path;
  scan.format = picture.format;
  scan.bits_per_sample = picture.bits_per_sample;
  scan.metadata = file.scan;
  scan.flags = picture.flags;
  scan.response = choose_response(picture, options, file.response, scan.flags);

  const LightTable light(picture, scan.response);
  for (int c = 0; c < picture.channels; ++c) scan.darkest.push_back(light.darkest(c));
  BlockAccumulator accumulator(picture, light, options.most_blocks);
  decoder->decode(accumulator);
  if (accumulator.rows_added() == 0)
    throw InputError(ErrorCode::unreadable, path,
                     "is damaged or cut short before any picture (" + decoder->damage() + ")",
                     "copy it again, or scan the frame again");
  if (accumulator.rows_added() < picture.height) scan.flags.insert(Flag::partial_file);
  scan.blocks = accumulator.finish();
  const int rows = accumulator.rows_covered();
  scan.width = exchanges_axes(picture.orientation) ? rows : picture.width;
  scan.height = exchanges_axes(picture.orientation) ? picture.width : rows;
  return scan;
}

}  // namespace basefog
