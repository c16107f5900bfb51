// SPDX-License-Identifier: GPL-3.0-or-later
#include "log/table.hpp"

#include <iconv.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <memory>
#include <optional>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"
#include "core/plain_text.hpp"

namespace basefog::log {
namespace {

/// Bytes from one encoding to UTF-8. Bytes that have no meaning in it become U+FFFD, or nothing is
/// returned when strict.
std::optional<std::string> to_utf8(std::string_view bytes, const char* encoding, bool strict) {
  const iconv_t opened = iconv_open("UTF-8", encoding);
  // iconv_open says (iconv_t)-1 where the encoding is not installed.
  if (opened == reinterpret_cast<iconv_t>(-1)) return std::nullopt;  // NOLINT
  const std::unique_ptr<void, int (*)(iconv_t)> converter(opened, iconv_close);
  std::string text;
  std::array<char, 4096> block{};
  std::string input(bytes);
  char* from = input.data();
  std::size_t left = input.size();
  while (left > 0) {
    char* to = block.data();
    std::size_t room = block.size();
    const std::size_t result = iconv(opened, &from, &left, &to, &room);
    text.append(block.data(), block.size() - room);
    if (result != static_cast<std::size_t>(-1) || errno == E2BIG) continue;
    if (strict) return std::nullopt;
    text += "\ufffd";
    const std::size_t skip = std::min<std::size_t>(left, encoding[0] == 'U' ? 2 : 1);
    from += skip;
    left -= skip;
  }
  return text;
}

/// The byte order of UTF-16 without a mark: most characters of a log are ASCII, so one byte in two
/// is zero.
const char* unmarked_utf16(std::string_view bytes) {
  std::array<std::size_t, 2> zeros{};
  const std::size_t n = std::min<std::size_t>(bytes.size(), 4096);
  for (std::size_t i = 0; i < n; ++i) zeros[i % 2] += bytes[i] == '\0' ? 1 : 0;
  if (zeros[1] * 10 > n * 3 && zeros[0] * 20 < n) return "UTF-16LE";
  if (zeros[0] * 10 > n * 3 && zeros[1] * 20 < n) return "UTF-16BE";
  return nullptr;
}

[[noreturn]] void refuse(const std::filesystem::path& path, ErrorCode code, std::string problem,
                         std::string next_step) {
  throw InputError(code, path, std::move(problem), std::move(next_step));
}

void refuse_what_is_no_text(std::string_view bytes, const std::filesystem::path& path) {
  using namespace std::string_view_literals;
  if (bytes.size() > limits::kMostLogBytes) {
    refuse(path, ErrorCode::unreadable,
           "is larger than " + std::to_string(limits::kMostLogBytes / limits::kMebibyte) +
               " MiB, which no log is",
           "give the log as a CSV file");
  }
  if (bytes.starts_with("PK\x03\x04"sv) || bytes.starts_with("\xd0\xcf\x11\xe0"sv)) {
    refuse(path, ErrorCode::unsupported, "is a spreadsheet's own file, not a text",
           "save it from the spreadsheet as CSV (Save As, Text CSV or Comma separated)");
  }
  for (const std::string_view start :
       {"%PDF"sv, "\x89PNG"sv, "\xff\xd8\xff"sv, "II*\0"sv, "MM\0*"sv, "{\\rtf"sv, "\x1f\x8b"sv}) {
    if (bytes.starts_with(start)) {
      refuse(path, ErrorCode::unsupported, "is not a plain text", "give the log as a CSV file");
    }
  }
}

/// Reads cells from a text with one separator.
class TableReader {
 public:
  TableReader(std::string_view text, char separator) : text_(text), separator_(separator) {}

  std::vector<LogLine> read() {
    std::vector<LogLine> lines;
    while (at_ < text_.size()) {
      LogLine line{line_number_, {}};
      do {
        line.cells.push_back(read_cell());
      } while (take_separator());
      take_line_end();
      lines.push_back(std::move(line));
    }
    return lines;
  }

 private:
  bool at_line_end(std::size_t i) const {
    return i >= text_.size() || text_[i] == '\n' || text_[i] == '\r';
  }
  bool at_cell_end(std::size_t i) const { return at_line_end(i) || text_[i] == separator_; }
  std::size_t after_spaces(std::size_t i) const {
    while (i < text_.size() && text_[i] == ' ') ++i;
    return i;
  }

  bool take_separator() {
    if (at_ >= text_.size() || text_[at_] != separator_) return false;
    ++at_;
    return true;
  }

  void take_line_end() {
    if (at_ < text_.size() && text_[at_] == '\r') ++at_;
    if (at_ < text_.size() && text_[at_] == '\n') ++at_;
    ++line_number_;
  }

  std::string read_cell() {
    const std::size_t start = after_spaces(at_);
    if (start < text_.size() && text_[start] == '"') {
      if (auto quoted = read_quoted(start)) return *std::move(quoted);
    }
    std::size_t end = at_;
    while (!at_cell_end(end)) ++end;
    const std::string_view cell = text_.substr(at_, end - at_);
    at_ = end;
    return std::string(trimmed(cell));
  }

  /// The cell whose opening quote is at `start`, when it is closed before a cell's end.
  std::optional<std::string> read_quoted(std::size_t start) {
    std::size_t i = start + 1;
    if (at_cell_end(after_spaces(i))) return std::nullopt;  // a lone ditto mark
    std::string cell;
    int line_ends = 0;
    for (; i < text_.size(); ++i) {
      if (text_[i] == '"') {
        if (i + 1 < text_.size() && text_[i + 1] == '"') {
          ++i;
        } else {
          break;
        }
      }
      const bool bare_return = text_[i] == '\r' && (i + 1 >= text_.size() || text_[i + 1] != '\n');
      line_ends += text_[i] == '\n' || bare_return ? 1 : 0;
      cell += text_[i];
    }
    if (i >= text_.size()) return std::nullopt;
    const std::size_t end = after_spaces(i + 1);
    if (!at_cell_end(end)) return std::nullopt;
    at_ = end;
    line_number_ += line_ends;
    return std::string(trimmed(cell));
  }

  std::string_view text_;
  char separator_;
  std::size_t at_ = 0;
  int line_number_ = 1;
};

}  // namespace

bool LogLine::empty() const {
  return std::ranges::all_of(cells, [](const std::string& cell) { return cell.empty(); });
}

DecodedText decode_text(std::string_view bytes, const std::filesystem::path& path) {
  using namespace std::string_view_literals;
  refuse_what_is_no_text(bytes, path);
  const char* utf16 = nullptr;
  if (bytes.starts_with("\xff\xfe"sv)) {
    utf16 = "UTF-16LE";
  } else if (bytes.starts_with("\xfe\xff"sv)) {
    utf16 = "UTF-16BE";
  }
  if (utf16 != nullptr) {
    bytes.remove_prefix(2);
  } else {
    utf16 = unmarked_utf16(bytes);
  }
  if (utf16 != nullptr) {
    if (auto text = to_utf8(bytes, utf16, false)) return {*std::move(text), "UTF-16"};
  }
  if (bytes.find('\0') != std::string_view::npos) {
    refuse(path, ErrorCode::unsupported, "is not a plain text", "give the log as a CSV file");
  }
  if (bytes.starts_with("\xef\xbb\xbf"sv)) bytes.remove_prefix(3);
  if (auto text = to_utf8(bytes, "UTF-8", true)) return {*std::move(text), "UTF-8"};
  if (auto text = to_utf8(bytes, "WINDOWS-1252", false)) return {*std::move(text), "Windows-1252"};
  refuse(path, ErrorCode::unsupported, "is in an encoding that this system cannot convert",
         "save the log in UTF-8");
}

std::vector<LogLine> split_lines(std::string_view text, char separator) {
  return TableReader(text, separator).read();
}

}  // namespace basefog::log
