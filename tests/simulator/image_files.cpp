// SPDX-License-Identifier: GPL-3.0-or-later
#include "simulator/image_files.hpp"

#include <cstdlib>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>
#include <stdexcept>

namespace simulator {
namespace {

cv::Mat as_bgr(const ScanImage& scan) {
  cv::Mat bgr = scan.codes;
  if (bgr.channels() == 3) cv::cvtColor(scan.codes, bgr, cv::COLOR_RGB2BGR);
  return bgr;
}

/// Resampling left dark rings around the lights of published panoramas, some below zero. Dark lines
/// finer than 5 pixels are filled from their surround where a light at least 8 times as bright is
/// near.
cv::Mat without_ringing(const cv::Mat& picture) {
  const double mean = cv::mean(luminance(picture))[0];
  cv::Mat clean = cv::max(picture, cv::Scalar::all(mean * 1e-5));
  cv::Mat filled;
  cv::morphologyEx(clean, filled, cv::MORPH_CLOSE, cv::Mat::ones(5, 5, CV_8UC1));
  const cv::Mat before = luminance(clean);
  const cv::Mat after = luminance(filled);
  cv::Mat brightest;
  cv::dilate(before, brightest, cv::Mat::ones(9, 9, CV_8UC1));
  const cv::Mat darker = after > 1.25 * before;
  const cv::Mat by_a_light = brightest > 8 * after;
  filled.copyTo(clean, darker & by_a_light);
  return clean;
}

}  // namespace

Panorama read_panorama(const std::filesystem::path& path) {
  // Debian's OpenCV reads OpenEXR, but only when asked by this variable before the first use.
  setenv("OPENCV_IO_ENABLE_OPENEXR", "1", 1);
  cv::Mat picture = cv::imread(path.string(), cv::IMREAD_UNCHANGED);
  if (picture.empty() || picture.depth() != CV_32F || picture.channels() < 3) {
    throw std::runtime_error("no high-dynamic-range colour picture in " + path.string());
  }
  cv::cvtColor(picture, picture, picture.channels() == 4 ? cv::COLOR_BGRA2RGB : cv::COLOR_BGR2RGB);
  return {without_ringing(picture)};
}

void write_jpeg(const std::filesystem::path& path, const ScanImage& scan, int quality) {
  if (scan.codes.depth() != CV_8U) throw std::runtime_error("JPEG holds 8 bits a sample");
  if (!cv::imwrite(path.string(), as_bgr(scan), {cv::IMWRITE_JPEG_QUALITY, quality})) {
    throw std::runtime_error("cannot write " + path.string());
  }
}

}  // namespace simulator
