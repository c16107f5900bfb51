// SPDX-License-Identifier: GPL-3.0-or-later
#include "scan/metadata_size.hpp"

#include <algorithm>
#include <array>
#include <cstdint>
#include <fstream>
#include <string>
#include <vector>

#include "basefog/core/limits.hpp"

namespace basefog::scan {
namespace {

/// Directories looked at: pages, previews, Exif, GPS; a chain that never ends is cut short.
constexpr std::size_t kMostDirectories = 200;
constexpr std::size_t kEntryBytes = 12;
// [TIFF6] and [XMP, part 3]; strips and tiles are the picture's own.
constexpr std::uint16_t kSubDirectories = 330;
constexpr std::uint16_t kXmp = 700;
constexpr std::uint16_t kExif = 34665;
constexpr std::uint16_t kGps = 34853;
constexpr std::uint16_t kInterchange = 40965;
/// Bytes of a value by its type, 0 to 13 [TIFF6].
constexpr std::array<std::uint64_t, 14> kTypeBytes = {1, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8, 4};

struct Entry {
  std::uint16_t tag;
  std::uint64_t count;
  std::uint64_t bytes;
  std::uint32_t value;  ///< or where it is
};

/// The directories of one file, in its byte order.
class Directories {
 public:
  explicit Directories(const std::filesystem::path& path) : in_(path, std::ios::binary) {
    const std::string head = at(0, 8);
    if (head.size() < 8) return;
    little_ = head.starts_with("II");
    if (little_ || head.starts_with("MM")) first_ = number(head, 4, 4);
  }

  std::uint32_t first() const { return first_; }

  /// The entries of a directory and where the next lies.
  std::vector<Entry> read(std::uint32_t offset, std::uint32_t& next) {
    next = 0;
    const std::string head = at(offset, 2);
    if (head.size() < 2) return {};
    const std::size_t size = number(head, 0, 2) * kEntryBytes;
    const std::string data = at(std::uint64_t{offset} + 2, size + 4);
    std::vector<Entry> out;
    for (std::size_t i = 0; i + kEntryBytes <= std::min(size, data.size()); i += kEntryBytes) {
      const std::uint64_t type = number(data, i + 2, 2);
      const std::uint64_t count = number(data, i + 4, 4);
      out.push_back({static_cast<std::uint16_t>(number(data, i, 2)), count,
                     count * (type < kTypeBytes.size() ? kTypeBytes[type] : 1),
                     static_cast<std::uint32_t>(number(data, i + 8, 4))});
    }
    if (data.size() == size + 4) next = static_cast<std::uint32_t>(number(data, size, 4));
    return out;
  }

  /// Where the directories lie that an entry names.
  std::vector<std::uint32_t> below(const Entry& entry) {
    if (entry.count <= 1) return {entry.value};
    const std::string data =
        at(entry.value, std::min<std::uint64_t>(entry.bytes, kMostDirectories * 4));
    std::vector<std::uint32_t> out;
    for (std::size_t i = 0; i + 4 <= data.size(); i += 4) {
      out.push_back(static_cast<std::uint32_t>(number(data, i, 4)));
    }
    return out;
  }

  std::string at(std::uint64_t offset, std::uint64_t size) {
    std::string out(size, '\0');
    in_.clear();
    in_.seekg(static_cast<std::streamoff>(offset));
    in_.read(out.data(), static_cast<std::streamsize>(size));
    out.resize(static_cast<std::size_t>(std::max<std::streamsize>(0, in_.gcount())));
    return out;
  }

 private:
  std::uint32_t number(const std::string& data, std::size_t from, std::size_t bytes) const {
    std::uint32_t out = 0;
    for (std::size_t i = 0; i < bytes; ++i) {
      const std::size_t place = little_ ? bytes - 1 - i : i;
      out = out << 8 | static_cast<std::uint8_t>(data[from + place]);
    }
    return out;
  }

  std::ifstream in_;
  bool little_ = true;
  std::uint32_t first_ = 0;
};

/// The picture itself, and where its parts lie.
bool is_picture(std::uint16_t tag) {
  constexpr std::array<std::uint16_t, 4> kTags = {273, 279, 324, 325};
  return std::find(kTags.begin(), kTags.end(), tag) != kTags.end();
}

}  // namespace

bool xmp_within_limits(std::string_view xmp) {
  if (xmp.size() > limits::kMostMetadataBytes) return false;
  std::size_t elements = 0;
  for (std::size_t i = 0; i + 1 < xmp.size(); ++i) {
    elements += xmp[i] == '<' && xmp[i + 1] != '/' ? 1 : 0;
  }
  return elements <= limits::kMostXmpElements;
}

bool tiff_metadata_within_limits(const std::filesystem::path& path) {
  Directories directories(path);
  std::vector<std::uint32_t> ahead;
  if (directories.first() != 0) ahead.push_back(directories.first());
  std::uint64_t bytes = 0;
  for (std::size_t i = 0; i < std::min(ahead.size(), kMostDirectories); ++i) {
    std::uint32_t next = 0;
    for (const Entry& entry : directories.read(ahead[i], next)) {
      if (!is_picture(entry.tag)) bytes += entry.bytes;
      if (bytes > limits::kMostMetadataBytes) return false;
      if (entry.tag == kXmp && !xmp_within_limits(directories.at(entry.value, entry.bytes))) {
        return false;
      }
      if (entry.tag != kExif && entry.tag != kGps && entry.tag != kInterchange &&
          entry.tag != kSubDirectories) {
        continue;
      }
      for (const std::uint32_t below : directories.below(entry)) ahead.push_back(below);
    }
    if (next != 0) ahead.push_back(next);
  }
  return true;
}

}  // namespace basefog::scan
