// SPDX-License-Identifier: GPL-3.0-or-later
#include "scan/scanner_name.hpp"

#include "basefog/core/error.hpp"
#include "decode/decoder.hpp"
#include "scan/scan_metadata.hpp"

namespace basefog::scan {

std::string scanner_name(const std::filesystem::path& file) {
  try {
    const ScanMetadata metadata = read_metadata(file, decode::open_scan(file)->picture()).scan;
    if (!metadata.made_by_scanner) return "";
    return metadata.make + (metadata.make.empty() || metadata.model.empty() ? "" : " ") +
           metadata.model;
  } catch (const InputError&) {
    return "";  // said when it is read
  }
}

}  // namespace basefog::scan
