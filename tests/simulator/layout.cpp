// SPDX-License-Identifier: GPL-3.0-or-later
#include "simulator/layout.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <stdexcept>

#include "simulator/panorama.hpp"

namespace simulator {
namespace {

using Quad = std::array<cv::Point2d, 4>;

cv::Point2d turned(cv::Point2d p, double angle_degrees) {
  // Counter-clockwise as seen: y runs down.
  const double angle = angle_degrees * std::numbers::pi / 180;
  return {p.x * std::cos(angle) + p.y * std::sin(angle),
          -p.x * std::sin(angle) + p.y * std::cos(angle)};
}

double length_of(const Strip& strip) {
  const auto gaps = static_cast<double>(strip.frames.empty() ? 0 : strip.frames.size() - 1);
  return 2 * strip.lead + strip.format.along + gaps * strip.format.pitch;
}

/// From mm along and across the film (its upper left corner is 0, 0) to mm on the bed.
cv::Point2d on_bed(const Strip& strip, cv::Point2d film) {
  const cv::Point2d from_centre(film.x - length_of(strip) / 2,
                                film.y - strip.format.film_width / 2);
  return strip.centre + turned(from_centre, strip.angle_degrees);
}

Quad quad_on_bed(const Strip& strip, const cv::Rect2d& film) {
  return {on_bed(strip, film.tl()), on_bed(strip, {film.x + film.width, film.y}),
          on_bed(strip, film.br()), on_bed(strip, {film.x, film.y + film.height})};
}

void fill(cv::Mat& mask, const Quad& bed_mm, double pixel_mm, int value) {
  constexpr int kShift = 8;
  std::vector<cv::Point> points;
  for (const cv::Point2d& p : bed_mm) {
    points.emplace_back(static_cast<int>(std::lround((p.x / pixel_mm - 0.5) * (1 << kShift))),
                        static_cast<int>(std::lround((p.y / pixel_mm - 0.5) * (1 << kShift))));
  }
  cv::fillConvexPoly(mask, points, cv::Scalar(value), cv::LINE_AA, kShift);
}

/// Adds an exposure that covers a rectangle of the film to the bed's.
void expose(cv::Mat& canvas, const Strip& strip, const cv::Rect2d& film, cv::Mat patch,
            double pixel_mm) {
  const cv::Size native(std::max(1, static_cast<int>(std::lround(film.width / pixel_mm))),
                        std::max(1, static_cast<int>(std::lround(film.height / pixel_mm))));
  if (patch.cols > 1.2 * native.width) cv::resize(patch, patch, native, 0, 0, cv::INTER_AREA);
  const Quad corners = quad_on_bed(strip, film);
  const cv::Point2d origin = corners[0] / pixel_mm;
  const cv::Point2d right = (corners[1] - corners[0]) / pixel_mm / patch.cols;
  const cv::Point2d down = (corners[3] - corners[0]) / pixel_mm / patch.rows;

  cv::Rect box = cv::boundingRect(std::vector<cv::Point2f>{
      corners[0] / pixel_mm, corners[1] / pixel_mm, corners[2] / pixel_mm, corners[3] / pixel_mm});
  box = cv::Rect(box.x - 2, box.y - 2, box.width + 4, box.height + 4) &
        cv::Rect({0, 0}, canvas.size());
  if (box.empty()) return;
  // Pixel i of the patch has its centre at i + 1/2.
  const cv::Point2d first = origin + right / 2 + down / 2 - cv::Point2d(0.5 + box.x, 0.5 + box.y);
  const cv::Matx23d map(right.x, down.x, first.x, right.y, down.y, first.y);
  cv::Mat moved;
  cv::warpAffine(patch, moved, map, box.size(), cv::INTER_LINEAR, cv::BORDER_CONSTANT);
  canvas(box) += moved;
}

/// Text as the film's maker exposes it on the edge; cap height in mm, centred at a place on film.
void print(cv::Mat& canvas, const Strip& strip, const std::string& text, cv::Point2d place,
           double height_mm, double lux_seconds, double pixel_mm) {
  constexpr double kCapHeight = 21;  // pixels of this font at scale 1
  const double scale = height_mm / pixel_mm / kCapHeight;
  const int thick = std::max(1, static_cast<int>(std::lround(0.18 * height_mm / pixel_mm)));
  int below = 0;
  const cv::Size size = cv::getTextSize(text, cv::FONT_HERSHEY_SIMPLEX, scale, thick, &below);
  cv::Mat ink = cv::Mat::zeros(size.height + 2 * thick + 2, size.width + 2 * thick + 2, CV_8UC1);
  cv::putText(ink, text, {thick, size.height + thick}, cv::FONT_HERSHEY_SIMPLEX, scale,
              cv::Scalar(255), thick, cv::LINE_AA);
  cv::Mat one;
  ink.convertTo(one, CV_32F, lux_seconds / 255);
  cv::Mat patch;
  cv::merge(std::vector<cv::Mat>(canvas.channels(), one), patch);
  const double w = ink.cols * pixel_mm;
  const double h = ink.rows * pixel_mm;
  expose(canvas, strip, {place.x - w / 2, place.y - h / 2, w, h}, patch, pixel_mm);
}

std::string label_of(const Strip& strip, std::size_t i) {
  return i < strip.labels.size() ? strip.labels[i] : std::to_string(i + 1);
}

cv::Rect2d frame_on_film(const Strip& strip, std::size_t i) {
  const double shift = i < strip.shift.size() ? strip.shift[i] : 0;
  return {strip.lead + strip.format.pitch * static_cast<double>(i) + shift,
          (strip.format.film_width - strip.format.across) / 2, strip.format.along,
          strip.format.across};
}

void print_edges(cv::Mat& canvas, const Strip& strip, double lux_seconds, double pixel_mm) {
  const double width = strip.format.film_width;
  const double edge = strip.format.perforated ? 1.0 : (width - strip.format.across) / 4;
  const double height = strip.format.perforated ? 1.2 : std::min(2.0, 1.2 * edge);
  if (height * 4 < pixel_mm * 10 || edge < 0.8) return;  // no room, or finer than the scan
  for (std::size_t i = 0; i < strip.frames.size(); ++i) {
    const cv::Rect2d frame = frame_on_film(strip, i);
    const double middle = frame.x + frame.width / 2;
    print(canvas, strip, label_of(strip, i), {middle, width - edge}, height, lux_seconds, pixel_mm);
    print(canvas, strip, label_of(strip, i) + "A", {middle + strip.format.pitch / 2, width - edge},
          height, lux_seconds, pixel_mm);
    print(canvas, strip, "SAFETY FILM", {middle, edge}, height, lux_seconds, pixel_mm);
  }
}

void punch(cv::Mat& film, const Strip& strip, double pixel_mm) {
  constexpr double kPitch = 4.75;  // [ISO1007], as the hole's size
  const cv::Size2d hole(1.98, 2.79);
  constexpr double kFromEdge = 2.01;
  for (double u = 1.3; u + hole.width < length_of(strip); u += kPitch) {
    for (const double v : {kFromEdge, strip.format.film_width - kFromEdge - hole.height}) {
      fill(film, quad_on_bed(strip, {{u, v}, hole}), pixel_mm, 0);
    }
  }
}

cv::Mat for_layers(const cv::Mat& exposure, std::size_t layers) {
  return layers == 1 && exposure.channels() == 3 ? luminance(exposure) : exposure;
}

void lay_strip(Negative& negative, cv::Mat& exposure, const Strip& strip, const Film& film) {
  const double pixel = negative.pixel_mm;
  const double width = strip.format.film_width;
  fill(negative.film, quad_on_bed(strip, {0, 0, length_of(strip), width}), pixel, 255);
  if (strip.format.perforated) punch(negative.film, strip, pixel);
  const double print_exposure = std::pow(10, film.speed_point() + 1.8);
  print_edges(exposure, strip, print_exposure, pixel);
  for (std::size_t i = 0; i < strip.frames.size(); ++i) {
    const cv::Rect2d place = frame_on_film(strip, i);
    FrameOutline outline{label_of(strip, i), quad_on_bed(strip, place), strip.frames[i].empty()};
    for (cv::Point2d& corner : outline.corners) corner /= pixel;
    negative.frames.push_back(outline);
    if (!strip.frames[i].empty()) {
      expose(exposure, strip, place, for_layers(strip.frames[i], film.layers.size()), pixel);
    }
  }
}

}  // namespace

FilmFormat film_format(const std::string& name) {
  // Frame sizes as cameras make them; gaps between frames of roll film vary (common practice).
  static const std::map<std::string, FilmFormat> formats = {
      {"24x36", {36, 24, 35, 38, true}},  {"18x24", {18, 24, 35, 19, true}},
      {"24x65", {65, 24, 35, 67, true}},  {"4.5x6", {41.5, 56, 61.5, 46, false}},
      {"6x6", {56, 56, 61.5, 61, false}}, {"6x7", {69.5, 56, 61.5, 75, false}},
      {"6x9", {83, 56, 61.5, 89, false}}, {"4x5", {121, 96, 101.6, 127, false}},
  };
  const auto found = formats.find(name);
  if (found == formats.end()) throw std::invalid_argument("no film format " + name);
  return found->second;
}

Bed one_frame(const cv::Mat& exposure, const FilmFormat& format, const Seat& seat,
              const std::string& label) {
  const cv::Size2d window(format.along + 2 * seat.margin_along,
                          format.across + 2 * seat.margin_across);
  Bed bed;
  bed.size = {window.width + 2 * seat.mask, window.height + 2 * seat.mask};
  bed.windows = {{{seat.mask, seat.mask}, window}};
  bed.holder_angle = seat.holder_angle;
  Strip strip;
  strip.format = format;
  strip.frames = {exposure};
  strip.labels = {label};
  strip.lead = format.pitch;
  strip.centre = cv::Point2d(bed.size.width / 2, bed.size.height / 2) + seat.off;
  strip.angle_degrees = seat.angle_degrees;
  bed.strips = {strip};
  return bed;
}

Bed one_strip(const Strip& strip, double margin, bool upright) {
  constexpr double kMask = 3;
  Bed bed;
  cv::Size2d window(length_of(strip) - 2 * strip.lead + 2 * margin,
                    strip.format.across + 2 * margin);
  if (upright) std::swap(window.width, window.height);
  bed.size = {window.width + 2 * kMask, window.height + 2 * kMask};
  bed.windows = {{{kMask, kMask}, window}};
  bed.strips = {strip};
  bed.strips[0].centre = {bed.size.width / 2, bed.size.height / 2};
  bed.strips[0].angle_degrees += upright ? 90 : 0;
  return bed;
}

Bed sheet(const std::vector<Strip>& strips, double gap, bool upright,
          const std::vector<double>& angles) {
  double longest = 0;
  double across = gap;
  for (const Strip& strip : strips) {
    longest = std::max(longest, length_of(strip));
    across += strip.format.film_width + gap;
  }
  Bed bed;
  bed.size = {longest + 2 * gap, across};
  if (upright) std::swap(bed.size.width, bed.size.height);
  double place = gap;
  for (std::size_t i = 0; i < strips.size(); ++i) {
    Strip strip = strips[i];
    const double middle = place + strip.format.film_width / 2;
    const double along = gap + length_of(strip) / 2;
    strip.centre =
        upright ? cv::Point2d(middle, bed.size.height - along) : cv::Point2d(along, middle);
    strip.angle_degrees += (upright ? 90 : 0) + (i < angles.size() ? angles[i] : 0);
    place += strip.format.film_width + gap;
    bed.strips.push_back(strip);
  }
  return bed;
}

Negative lay_out(const Bed& bed, const Film& film, double pixel_mm) {
  const cv::Size size(static_cast<int>(std::lround(bed.size.width / pixel_mm)),
                      static_cast<int>(std::lround(bed.size.height / pixel_mm)));
  Negative negative;
  negative.pixel_mm = pixel_mm;
  negative.film = cv::Mat::zeros(size, CV_8UC1);
  negative.dust = cv::Mat::zeros(size, CV_8UC1);
  negative.open = cv::Mat(size, CV_8UC1, cv::Scalar(bed.windows.empty() ? 255 : 0));
  const cv::Point2d middle(bed.size.width / 2, bed.size.height / 2);
  for (const cv::Rect2d& w : bed.windows) {
    Quad quad = {w.tl(), cv::Point2d(w.x + w.width, w.y), w.br(), cv::Point2d(w.x, w.y + w.height)};
    for (cv::Point2d& p : quad) p = middle + turned(p - middle, bed.holder_angle);
    fill(negative.open, quad, pixel_mm, 255);
  }
  cv::Mat exposure = cv::Mat::zeros(size, CV_32FC(static_cast<int>(film.layers.size())));
  for (const Strip& strip : bed.strips) lay_strip(negative, exposure, strip, film);
  negative.density = density(exposure, film);
  return negative;
}

}  // namespace simulator
