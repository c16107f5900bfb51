// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/text_file.hpp"

#include <fstream>
#include <iostream>
#include <iterator>
#include <system_error>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"

namespace basefog {
namespace {

std::string read_to_end(std::istream& in, const std::filesystem::path& path,
                        const TextFileKind& kind) {
  // Read piece by piece, since a file may grow after its size was asked.
  std::string text;
  constexpr std::size_t kPiece = std::size_t{1} << 16;
  while (in && text.size() <= kind.most_bytes) {
    const std::size_t before = text.size();
    text.resize(before + kPiece);
    in.read(text.data() + before, kPiece);
    text.resize(before + static_cast<std::size_t>(in.gcount()));
  }
  if (in.bad()) {
    throw InputError(ErrorCode::unreadable, path, "cannot be read to its end",
                     "copy it again, or check the disk");
  }
  if (text.size() > kind.most_bytes) {
    throw InputError(ErrorCode::unreadable, path,
                     "is larger than " + std::to_string(kind.most_bytes / limits::kMebibyte) +
                         " MiB, which " + std::string(kind.what) + " never is",
                     "check that it is " + std::string(kind.what));
  }
  return text;
}

}  // namespace

std::string read_text_file(const std::filesystem::path& path, const TextFileKind& kind) {
  const std::string what = kind.what;
  if (path == "-") return read_to_end(std::cin, "standard input", kind);
  std::error_code error;
  const auto status = std::filesystem::status(path, error);
  if (status.type() == std::filesystem::file_type::not_found) {
    throw InputError(ErrorCode::not_found, path, "does not exist", "check the name of " + what);
  }
  // Opening a pipe would wait for its other end.
  std::ifstream in;
  if (std::filesystem::is_regular_file(status)) in.open(path, std::ios::binary);
  if (!in.is_open()) {
    const std::string why = error ? " (" + error.message() + ")" : "";
    throw InputError(ErrorCode::unreadable, path, "cannot be read as a file" + why,
                     "name " + what + " that you may read");
  }
  return read_to_end(in, path, kind);
}

}  // namespace basefog
