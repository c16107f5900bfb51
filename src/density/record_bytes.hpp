// SPDX-License-Identifier: GPL-3.0-or-later
// A scan's record as the store keeps it: bytes that only the program that wrote them reads.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "basefog/density/scan_record.hpp"

namespace basefog::density {

/// For whom bytes are made: a disk, or a reader who waits for them.
enum class Packing { small, quick };

/// All of a record but its failure and the file's name, under `key`: a deflated part with all
/// numbers, then the pictures as they are, each once. Colour of 24 x 36: at most 150 kB and 2.6 MB.
std::string record_bytes(const ScanRecord& record, std::string_view key,
                         Packing packing = Packing::small);

/// The record that was written under this very key, without its file's name; absent for any other
/// bytes, whatever they are.
std::optional<ScanRecord> record_of_bytes(std::string_view bytes, std::string_view key);

}  // namespace basefog::density
