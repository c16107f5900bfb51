// SPDX-License-Identifier: GPL-3.0-or-later
#include "simulator/truth.hpp"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <opencv2/imgproc.hpp>
#include <stdexcept>

namespace simulator {
namespace {

constexpr double kLog10Of2 = 0.30102999566398120;

double metered_stops(const cv::Mat& h, Pattern pattern, cv::Point2d spot, double aim) {
  cv::Mat values;
  h.convertTo(values, CV_64F);
  return std::log2(values.dot(weights(pattern, h.size(), spot)) / aim);
}

/// Percentile of sorted values, straight between the two nearest.
double percentile(const std::vector<double>& sorted, double share) {
  const double place = share * static_cast<double>(sorted.size() - 1);
  const auto i = static_cast<std::size_t>(place);
  if (i + 1 >= sorted.size()) return sorted.back();
  return sorted[i] + (place - static_cast<double>(i)) * (sorted[i + 1] - sorted[i]);
}

struct Loss {
  double shadows = 0;
  double highlights = 0;
};

Loss loss(const std::vector<double>& sorted, double change_log_h, double low, double high) {
  const auto count = static_cast<double>(sorted.size());
  const auto below = std::lower_bound(sorted.begin(), sorted.end(), low - change_log_h);
  const auto above = std::upper_bound(sorted.begin(), sorted.end(), high - change_log_h);
  return {static_cast<double>(below - sorted.begin()) / count,
          static_cast<double>(sorted.end() - above) / count};
}

double two_decimals(double v) { return std::round(v * 100) / 100; }
double four_decimals(double v) { return std::round(v * 10000) / 10000; }

}  // namespace

std::vector<double> aperture_log_h(const cv::Mat& exposure) {
  constexpr double kAcross = 72;
  const cv::Mat h = exposure.channels() == 3 ? luminance(exposure) : exposure;
  const double side = std::max(h.cols, h.rows) / kAcross;
  const cv::Size apertures(std::max(1, static_cast<int>(std::lround(h.cols / side))),
                           std::max(1, static_cast<int>(std::lround(h.rows / side))));
  cv::Mat mean;
  cv::resize(h, mean, apertures, 0, 0, cv::INTER_AREA);
  std::vector<double> log_h;
  for (int y = 0; y < mean.rows; ++y) {
    for (int x = 0; x < mean.cols; ++x) {
      log_h.push_back(std::log10(std::max(1e-12F, mean.at<float>(y, x))));
    }
  }
  return log_h;
}

std::string verdict_of(double correction) {
  if (std::abs(correction) < 0.5) return "well_exposed";
  const std::string strongly = std::abs(correction) >= 1.5 ? "strongly_" : "";
  return strongly + (correction > 0 ? "under" : "over");
}

FrameTruth truth_of(const Shot& shot, const Film& film, const Meter& meter) {
  const double kept = reciprocity_factor(film, shot.seconds);
  const cv::Mat exposure = shot.exposure * kept;
  const cv::Mat h = luminance(exposure);
  if (cv::countNonZero(h) == 0) throw std::invalid_argument("a frame without light has no truth");
  const double aim = aim_lux_seconds(film.iso);
  FrameTruth truth;
  truth.exposure = metered_stops(h, meter.pattern, meter.spot, aim);
  truth.exposure_average = metered_stops(h, Pattern::average, {}, aim);
  truth.exposure_centre_weighted = metered_stops(h, Pattern::centre_weighted, {}, aim);
  truth.exposure_spot = metered_stops(h, Pattern::spot, meter.spot, aim);

  std::vector<double> log_h = aperture_log_h(exposure);
  std::sort(log_h.begin(), log_h.end());
  const double low = film.speed_point();
  const double high = film.highlight_limit();
  truth.shadow_reserve = (percentile(log_h, 0.02) - low) / kLog10Of2;
  truth.highlight_reach = (percentile(log_h, 0.98) - low) / kLog10Of2;
  truth.highlight_room = (high - low) / kLog10Of2 - truth.highlight_reach;

  double least = 1e9;
  for (int step = -1000; step <= 1000; ++step) {
    const double c = step / 100.0;
    const Loss lost = loss(log_h, c * kLog10Of2, low, high);
    // A stop away from the aim weighs as much as losing 3 % of the picture.
    const double away = truth.exposure + c;
    const double cost = lost.shadows + lost.highlights + 0.03 * away * away;
    if (cost < least) {
      least = cost;
      truth.correction = c;
      truth.least_loss = lost.shadows + lost.highlights;
    }
  }
  truth.verdict = verdict_of(truth.correction);
  const Loss now = loss(log_h, 0, low, high);
  truth.lost_in_shadows = now.shadows;
  truth.lost_in_highlights = now.highlights;
  return truth;
}

nlohmann::ordered_json record(const Shot& shot, const FrameTruth& truth) {
  nlohmann::ordered_json json;
  json["exposure_stops"] = four_decimals(truth.exposure);
  json["exposure_average_stops"] = four_decimals(truth.exposure_average);
  json["exposure_centre_weighted_stops"] = four_decimals(truth.exposure_centre_weighted);
  json["exposure_spot_stops"] = four_decimals(truth.exposure_spot);
  json["shadow_reserve_stops"] = four_decimals(truth.shadow_reserve);
  json["highlight_reach_stops"] = four_decimals(truth.highlight_reach);
  json["highlight_room_stops"] = four_decimals(truth.highlight_room);
  json["correction_stops"] = two_decimals(truth.correction);
  json["verdict"] = truth.verdict;
  json["lost_in_shadows"] = four_decimals(truth.lost_in_shadows);
  json["lost_in_highlights"] = four_decimals(truth.lost_in_highlights);
  json["least_loss"] = four_decimals(truth.least_loss);
  json["scene_ev_100"] = two_decimals(shot.metered_ev);
  json["compensation_stops"] = shot.compensation;
  json["asked_stops"] = four_decimals(shot.asked_stops);
  json["marked"] = {{"shutter_seconds", shot.marked_seconds}, {"f_number", shot.marked_f_number}};
  json["true"] = {{"shutter_seconds", shot.seconds}, {"f_number", shot.f_number}};
  return json;
}

nlohmann::ordered_json record(const FrameOutline& outline) {
  nlohmann::ordered_json corners;
  for (const cv::Point2d& p : outline.corners) {
    corners.push_back({two_decimals(p.x), two_decimals(p.y)});
  }
  return corners;
}

}  // namespace simulator
