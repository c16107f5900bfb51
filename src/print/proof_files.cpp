// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <algorithm>
#include <opencv2/imgproc.hpp>
#include <string_view>

#include "basefog/core/error.hpp"
#include "basefog/core/version.hpp"
#include "basefog/print/proof.hpp"
#include "core/whole_file.hpp"
#include "print/icc_profile.hpp"
#include "print/jpeg_writer.hpp"
#include "print/proof.hpp"
#include "print/tiff_writer.hpp"
#include "report/markup.hpp"
#include "report/wording.hpp"

namespace basefog::print {
namespace {

constexpr int kLeastSide = 64;
/// The contact sheet: proofs in rows of six, as cut negatives lie, on white paper.
constexpr std::size_t kSheetColumns = 6;
constexpr int kMostSheetSide = 480;
constexpr int kGap = 28;
constexpr int kCaption = 54;
constexpr int kHeadline = 30;

const char* extension(ProofFormat format) { return format == ProofFormat::jpeg ? "jpg" : "tif"; }
const char* word(ProofStyle style) {
  return style == ProofStyle::straight ? "straight" : "corrected";
}

/// What every file says of itself.
std::string description(ProofStyle style, bool colour) {
  return std::string("A proof from measured densities, not a finished print; ") +
         (style == ProofStyle::straight ? "straight, the same exposure for all frames of the roll"
                                        : "corrected, exposure and grade chosen for the frame") +
         (colour ? "; colour balanced on base and roll" : "") + ". basefog " + kVersion;
}

/// colour: a proof in it was printed in three channels; a sheet always has three.
std::string file_of(const Positive& picture, bool colour, const ProofOptions& options) {
  const std::vector<std::uint8_t> bytes =
      encode_jpeg(picture, options.jpeg_quality, srgb_profile(picture.channels),
                  description(options.style, colour));
  return {bytes.begin(), bytes.end()};
}

std::string file_of(const DeepPositive& picture, bool colour, const ProofOptions& options) {
  return encode_tiff(picture, srgb_profile(picture.channels), description(options.style, colour));
}

template <class Sample>
std::string printed_file(const roll::FrameResult& frame, const PrintSetup& setup,
                         const ProofOptions& options) {
  const auto picture = print<Sample>(frame, setup, options.style);
  if (!picture) return "";
  return file_of(reduced(*picture, options.long_side), picture->channels == 3, options);
}

/// The encoded proof of a frame; empty where it cannot be printed.
std::string proof_file(const roll::FrameResult& frame, const PrintSetup& setup,
                       const ProofOptions& options) {
  return options.format == ProofFormat::jpeg ? printed_file<std::uint8_t>(frame, setup, options)
                                             : printed_file<std::uint16_t>(frame, setup, options);
}

/// Letters, digits, '-' and '_' of a frame's name, with numbers of two digits so that files sort;
/// names come from files and labels, and must not lead out of the folder.
std::string file_stem(const std::string& name) {
  std::string safe;
  for (char c : name) {
    const bool kept = (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
                      c == '-' || c == '_';
    safe += kept ? c : '_';
  }
  const std::size_t digits = std::min(safe.find_first_not_of("0123456789"), safe.size());
  constexpr std::size_t kLongest = 200;  // leaves room for the rest of a file's name
  return name_within(digits == 1 ? "0" + safe : safe, kLongest);
}

void check(const ProofOptions& options, const std::filesystem::path& path) {
  const std::string problem = options.validate();
  if (!problem.empty()) {
    throw InputError(ErrorCode::usage, path, "cannot be written: " + problem,
                     "change the options of the proof");
  }
}

/// In OpenCV's built-in letters, which are ASCII: an ellipsis as dots, anything else as '?'.
std::string in_ascii(const std::string& text) {
  constexpr std::string_view kEllipsis = "\u2026";
  std::string ascii;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto byte = static_cast<unsigned char>(text[i]);
    if (text.compare(i, kEllipsis.size(), kEllipsis) == 0) {
      ascii += "...";
    } else if (byte >= ' ' && byte <= '~') {
      ascii += text[i];
    } else if ((byte & 0xC0) != 0x80) {  // not the rest of a letter
      ascii += '?';
    }
  }
  return ascii;
}

/// A caption that takes at most `room` pixels; what is longer loses its middle.
void put_caption(cv::Mat& sheet, const std::string& text, cv::Point place, int room, bool strong) {
  constexpr int kFont = cv::FONT_HERSHEY_SIMPLEX;
  constexpr double kSize = 0.55;
  const int thick = strong ? 2 : 1;
  const auto width_of = [thick](const std::string& letters) {
    int below = 0;
    return cv::getTextSize(letters, kFont, kSize, thick, &below).width;
  };
  std::string letters = in_ascii(report::printable(text));
  for (int kept = report::display_width(report::printable(text)) - 1;
       kept > 0 && width_of(letters) > room; --kept) {
    letters = in_ascii(report::cut_middle(text, kept));
  }
  cv::putText(sheet, letters, place, kFont, kSize, cv::Scalar::all(40), thick, cv::LINE_AA);
}

/// What goes onto a contact sheet.
struct SheetProofs {
  /// One a frame, in 8-bit red, green, blue; empty where there is none.
  std::vector<cv::Mat> pictures;
  bool colour = false;  ///< some were printed in three channels
};

/// side: most pixels of a proof's long side.
SheetProofs sheet_proofs(const roll::Analysis& analysis, ProofStyle style, int side) {
  const PrintSetup setup = print_setup(analysis);
  SheetProofs proofs;
  for (const roll::FrameResult& frame : analysis.frames) {
    proofs.pictures.emplace_back();
    const auto picture = print<std::uint8_t>(frame, setup, style);
    if (!picture) continue;
    proofs.colour = proofs.colour || picture->channels == 3;
    const Positive small = reduced(*picture, side);
    const cv::Mat proof(small.height, small.width, CV_8UC(small.channels),
                        const_cast<std::uint8_t*>(small.samples.data()));
    if (small.channels == 1) {
      cv::cvtColor(proof, proofs.pictures.back(), cv::COLOR_GRAY2RGB);
    } else {
      proofs.pictures.back() = proof.clone();
    }
  }
  return proofs;
}

int sheet_side(const ProofOptions& options) { return std::min(options.long_side, kMostSheetSide); }

/// The sheet in 8-bit red, green, blue. Each row is as high as its tallest proof.
cv::Mat contact_sheet(const roll::Analysis& analysis, const SheetProofs& all,
                      const ProofOptions& options) {
  const int side = sheet_side(options);
  const std::vector<cv::Mat>& proofs = all.pictures;
  constexpr int kWidestLetter = 14;  // pixels of a caption's
  const std::vector<std::string> names =
      report::short_names(report::frame_names(analysis), std::max(8, side / kWidestLetter));
  // A line above all says what this is.
  std::vector<int> tops{kGap + kHeadline};
  for (std::size_t first = 0; first < proofs.size(); first += kSheetColumns) {
    int tallest = side / 2;
    for (std::size_t i = first; i < std::min(first + kSheetColumns, proofs.size()); ++i) {
      tallest = std::max(tallest, proofs[i].rows);
    }
    tops.push_back(tops.back() + tallest + kCaption + kGap);
  }
  cv::Mat sheet(tops.back() + kGap, static_cast<int>(kSheetColumns) * (side + kGap) + kGap, CV_8UC3,
                cv::Scalar::all(255));
  put_caption(sheet, description(options.style, all.colour), {kGap, kGap + 14},
              sheet.cols - 2 * kGap, false);
  for (std::size_t i = 0; i < proofs.size(); ++i) {
    const int left = kGap + static_cast<int>(i % kSheetColumns) * (side + kGap);
    const int top = tops[i / kSheetColumns];
    if (!proofs[i].empty()) proofs[i].copyTo(sheet(cv::Rect({left, top}, proofs[i].size())));
    const int bottom = tops[i / kSheetColumns + 1] - kCaption - kGap;
    put_caption(sheet, names[i], {left, bottom + 22}, side, true);
    put_caption(sheet, report::picture_text(analysis.frames[i]), {left, bottom + 46}, side, false);
  }
  return sheet;
}

template <class Sample>
BasicPositive<Sample> positive_of(const cv::Mat& sheet) {
  BasicPositive<Sample> picture{sheet.cols, sheet.rows, sheet.channels(), {}};
  picture.samples.resize(sheet.total() * static_cast<std::size_t>(sheet.channels()));
  cv::Mat to(sheet.rows, sheet.cols, CV_MAKETYPE(cv::DataType<Sample>::depth, sheet.channels()),
             picture.samples.data());
  // 8-bit white becomes 16-bit white: 65535 = 257 * 255.
  sheet.convertTo(to, to.type(), sizeof(Sample) == 2 ? 257 : 1);
  return picture;
}

}  // namespace

std::string ProofOptions::validate() const {
  if (long_side < kLeastSide) {
    return fmt::format("the long side must be {} pixels or more", kLeastSide);
  }
  if (jpeg_quality < 1 || jpeg_quality > 100) return "the JPEG quality must be from 1 to 100";
  return "";
}

std::vector<std::filesystem::path> write_proofs(const std::filesystem::path& folder,
                                                const roll::Analysis& analysis,
                                                const ProofOptions& options) {
  check(options, folder);
  const PrintSetup setup = print_setup(analysis);
  const std::vector<std::string> names = report::frame_names(analysis);
  std::vector<std::filesystem::path> written;
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const std::string content = proof_file(analysis.frames[i], setup, options);
    if (content.empty()) continue;
    std::string stem = fmt::format("frame_{}_{}", file_stem(names[i]), word(options.style));
    const auto path_of = [&] { return folder / (stem + "." + extension(options.format)); };
    // Two names may come to look alike once they are safe.
    while (std::ranges::find(written, path_of()) != written.end()) {
      stem += fmt::format("_{}", i + 1);
    }
    const std::filesystem::path path = path_of();
    write_whole_file(path, content);
    written.push_back(path);
  }
  return written;
}

void write_contact_sheet(const std::filesystem::path& file, const roll::Analysis& analysis,
                         const ProofOptions& options) {
  check(options, file);
  const SheetProofs proofs = sheet_proofs(analysis, options.style, sheet_side(options));
  const cv::Mat sheet = contact_sheet(analysis, proofs, options);
  const bool colour = proofs.colour;
  write_whole_file(file, options.format == ProofFormat::jpeg
                             ? file_of(positive_of<std::uint8_t>(sheet), colour, options)
                             : file_of(positive_of<std::uint16_t>(sheet), colour, options));
}

}  // namespace basefog::print
