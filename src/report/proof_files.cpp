// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "basefog/error.hpp"
#include "basefog/proof.hpp"
#include "basefog/version.hpp"
#include "core/whole_file.hpp"
#include "report/icc_profile.hpp"
#include "report/jpeg_writer.hpp"
#include "report/proof.hpp"
#include "report/tiff_writer.hpp"
#include "report/wording.hpp"

namespace basefog {
namespace report {
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

std::string file_of(const Positive& picture, const ProofOptions& options) {
  const std::vector<std::uint8_t> bytes =
      encode_jpeg(picture, options.jpeg_quality, srgb_profile(picture.channels),
                  description(options.style, picture.channels == 3));
  return {bytes.begin(), bytes.end()};
}

std::string file_of(const DeepPositive& picture, const ProofOptions& options) {
  return encode_tiff(picture, srgb_profile(picture.channels),
                     description(options.style, picture.channels == 3));
}

template <class Sample>
std::string printed_file(const FrameResult& frame, const PrintSetup& setup,
                         const ProofOptions& options) {
  const auto picture = print<Sample>(frame, setup, options.style);
  return picture ? file_of(reduced(*picture, options.long_side), options) : "";
}

/// The encoded proof of a frame; empty where it cannot be printed.
std::string proof_file(const FrameResult& frame, const PrintSetup& setup,
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
  return digits == 1 ? "0" + safe : safe;
}

void check(const ProofOptions& options, const std::filesystem::path& path) {
  const std::string problem = options.validate();
  if (!problem.empty()) {
    throw InputError(ErrorCode::usage, path, "cannot be written: " + problem,
                     "change the options of the proof");
  }
}

/// A caption in OpenCV's built-in letters, which are ASCII; anything else shows as '?'.
void put_caption(cv::Mat& sheet, const std::string& text, cv::Point place, bool strong) {
  std::string ascii;
  for (char c : text) ascii += c >= ' ' && c <= '~' ? c : '?';
  cv::putText(sheet, ascii, place, cv::FONT_HERSHEY_SIMPLEX, 0.55, cv::Scalar::all(40),
              strong ? 2 : 1, cv::LINE_AA);
}

/// The proof of each frame, at most `side` long, in 8-bit red, green, blue; empty where there is
/// none.
std::vector<cv::Mat> sheet_proofs(const Analysis& analysis, ProofStyle style, int side) {
  const PrintSetup setup = print_setup(analysis);
  std::vector<cv::Mat> proofs;
  for (const FrameResult& frame : analysis.frames) {
    proofs.emplace_back();
    const auto picture = print<std::uint8_t>(frame, setup, style);
    if (!picture) continue;
    const Positive small = reduced(*picture, side);
    const cv::Mat proof(small.height, small.width, CV_8UC(small.channels),
                        const_cast<std::uint8_t*>(small.samples.data()));
    if (small.channels == 1) {
      cv::cvtColor(proof, proofs.back(), cv::COLOR_GRAY2RGB);
    } else {
      proofs.back() = proof.clone();
    }
  }
  return proofs;
}

/// The sheet in 8-bit red, green, blue. Each row is as high as its tallest proof.
cv::Mat contact_sheet(const Analysis& analysis, const ProofOptions& options) {
  const int side = std::min(options.long_side, kMostSheetSide);
  const std::vector<cv::Mat> proofs = sheet_proofs(analysis, options.style, side);
  const std::vector<std::string> names = frame_names(analysis);
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
  put_caption(sheet, description(options.style, analysis.film.layers.size() == 3),
              {kGap, kGap + 14}, false);
  for (std::size_t i = 0; i < proofs.size(); ++i) {
    const int left = kGap + static_cast<int>(i % kSheetColumns) * (side + kGap);
    const int top = tops[i / kSheetColumns];
    if (!proofs[i].empty()) proofs[i].copyTo(sheet(cv::Rect({left, top}, proofs[i].size())));
    const int bottom = tops[i / kSheetColumns + 1] - kCaption - kGap;
    put_caption(sheet, names[i], {left, bottom + 22}, true);
    put_caption(sheet, picture_text(analysis.frames[i]), {left, bottom + 46}, false);
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
}  // namespace report

std::string ProofOptions::validate() const {
  if (long_side < report::kLeastSide) {
    return fmt::format("the long side must be {} pixels or more", report::kLeastSide);
  }
  if (jpeg_quality < 1 || jpeg_quality > 100) return "the JPEG quality must be from 1 to 100";
  return "";
}

std::vector<std::filesystem::path> write_proofs(const std::filesystem::path& folder,
                                                const Analysis& analysis,
                                                const ProofOptions& options) {
  report::check(options, folder);
  const report::PrintSetup setup = report::print_setup(analysis);
  const std::vector<std::string> names = report::frame_names(analysis);
  std::vector<std::filesystem::path> written;
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const std::string content = report::proof_file(analysis.frames[i], setup, options);
    if (content.empty()) continue;
    std::string stem =
        fmt::format("frame_{}_{}", report::file_stem(names[i]), report::word(options.style));
    auto path = folder / (stem + "." + report::extension(options.format));
    // Two names may come to look alike once they are safe.
    if (std::find(written.begin(), written.end(), path) != written.end()) {
      path = folder / fmt::format("{}_{}.{}", stem, i + 1, report::extension(options.format));
    }
    write_whole_file(path, content);
    written.push_back(path);
  }
  return written;
}

void write_contact_sheet(const std::filesystem::path& file, const Analysis& analysis,
                         const ProofOptions& options) {
  report::check(options, file);
  const cv::Mat sheet = report::contact_sheet(analysis, options);
  write_whole_file(file, options.format == ProofFormat::jpeg
                             ? report::file_of(report::positive_of<std::uint8_t>(sheet), options)
                             : report::file_of(report::positive_of<std::uint16_t>(sheet), options));
}

}  // namespace basefog
