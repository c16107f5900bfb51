// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/scan/scan.hpp"

#include <algorithm>

#include "basefog/core/error.hpp"
#include "decode/block_accumulator.hpp"
#include "decode/decoder.hpp"
#include "decode/light_table.hpp"
#include "decode/orientation.hpp"
#include "scan/flat_field.hpp"
#include "scan/read_file.hpp"
#include "scan/scan_metadata.hpp"
#include "scan/scan_response.hpp"

namespace basefog::scan {
namespace {

/// Fewer blocks a side show no frame's edges.
constexpr int kLeastBlocks = 100;

/// Decodes into blocks; fails only where not even one row is there.
void read_blocks(decode::Decoder& decoder, const decode::Picture& picture,
                 const decode::LightTable& light, int most_blocks, Scan& scan) {
  decode::BlockAccumulator accumulator(picture, light, most_blocks);
  decoder.decode(accumulator);
  if (accumulator.rows_added() == 0) {
    const std::string damage = decoder.damage();
    throw InputError(
        ErrorCode::unreadable, scan.path,
        "is damaged or cut short before any picture" + (damage.empty() ? "" : " (" + damage + ")"),
        "copy it again, or scan the frame again");
  }
  if (accumulator.rows_added() < picture.height) scan.flags.insert(Flag::partial_file);
  scan.blocks = accumulator.finish();
  const int rows = accumulator.rows_covered();
  scan.width = decode::exchanges_axes(picture.orientation) ? rows : picture.width;
  scan.height = decode::exchanges_axes(picture.orientation) ? picture.width : rows;
}

}  // namespace

std::string ReadOptions::validate() const {
  if (most_blocks < kLeastBlocks)
    return "most_blocks must be at least " + std::to_string(kLeastBlocks) + ".";
  return "";
}

OpenFile open_file(const std::filesystem::path& path, const ReadOptions& options,
                   std::optional<int> orientation) {
  OpenFile file{.decoder = decode::open_scan(path)};
  decode::Picture& picture = file.picture = file.decoder->picture();
  decode::refuse_too_many_pixels(path, static_cast<std::uint64_t>(picture.width),
                                 static_cast<std::uint64_t>(picture.height), options.most_pixels);
  file.metadata = read_metadata(path, picture);
  // TIFF and raw say it in the directory that was read; the others in their Exif.
  if (picture.container != response::ScanFormat::tiff)
    picture.orientation = file.metadata.orientation.value_or(1);
  if (orientation) picture.orientation = *orientation;
  file.flags = picture.flags;
  if (file.metadata.ignored) file.flags.insert(Flag::metadata_ignored);
  file.response = choose_response(picture, options, file.metadata.response, file.flags);
  return file;
}

FileRead read_file(const std::filesystem::path& path, const ReadOptions& options,
                   std::optional<int> orientation) {
  const OpenFile open = open_file(path, options, orientation);
  const decode::Picture& picture = open.picture;
  FileRead file;
  file.orientation = picture.orientation;
  file.copy_exposure = open.metadata.copy_exposure;
  Scan& scan = file.scan;
  scan.path = path;
  scan.format = picture.format;
  scan.bits_per_sample = picture.bits_per_sample;
  scan.metadata = open.metadata.scan;
  scan.flags = open.flags;
  scan.response = open.response;
  const decode::LightTable light(picture, scan.response);
  const double calibrated_to = scan.response.densest.transmittance();
  for (int c = 0; c < picture.channels; ++c) {
    scan.darkest.push_back(std::max(light.darkest(c), calibrated_to));
  }
  read_blocks(*open.decoder, picture, light, options.most_blocks, scan);
  return file;
}

Scan read_scan(const std::filesystem::path& path, const ReadOptions& options) {
  if (const std::string problem = options.validate(); !problem.empty())
    throw InputError(ErrorCode::usage, path, problem, "change the option");
  FileRead file = read_file(path, options);
  if (options.light) divide_by_light(file, options);
  return std::move(file.scan);
}

}  // namespace basefog::scan
