// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

namespace simulator {

/// A published curve as printed: densities with base at evenly spaced log10 H, one row a column of
/// the source.
struct CurveTable {
  double first_log_h = 0;
  double step = 0;
  std::vector<std::vector<double>> columns;
};

/// Reads a comma-separated table whose first column is log H; lines that start with # are notes.
/// Throws std::runtime_error for a table that is not evenly spaced to 5 % of a step.
CurveTable read_curve_table(const std::filesystem::path& path);
/// Reads sheets of rows "layer,x,density", x in any steps, onto one even axis: one column a layer
/// of each file, kept from falling. Throws std::runtime_error.
CurveTable read_sheets(const std::vector<std::filesystem::path>& paths);

/// Net density of one layer against log10 H. Cubic B-spline with the table's values as control
/// points: it follows readings rounded to 0.01 without their steps, and rises where they do. Flat
/// before the table; after it the slope dies off as exp(-(log H - end) / shoulder_fold).
class LayerCurve {
 public:
  LayerCurve() = default;
  LayerCurve(double first_log_h, double step, std::vector<double> net_density,
             double shoulder_fold);
  double net_density(double log_h) const;
  /// log10 H at which the net density is reached, by bisection.
  double log_h(double net_density) const;
  void shift(double log_h);
  void scale(double factor);

 private:
  double first_log_h_ = 0;
  double step_ = 1;
  std::vector<double> control_;
};

enum class FilmKind { black_and_white, colour_negative };

/// A film as exposed and developed.
struct Film {
  FilmKind kind = FilmKind::black_and_white;
  double iso = 400;              ///< on the box
  double speed_error_stops = 0;  ///< this batch and development is faster than the box says
  std::vector<LayerCurve> layers;
  std::vector<double> base;  ///< base + fog density, one a layer
  /// Root-mean-square granularity: 1000 times the standard deviation of density through a circle
  /// of 48 micrometres, at net density 1.
  double granularity = 10;
  double grain_size_mm = 0.006;     ///< over which the grain hangs together
  double reciprocity_exponent = 1;  ///< corrected time = time ^ exponent above 1 s

  /// log10 H of the speed point of this very film: ISO 6, 0.10 above base; ISO 5800, 0.15, the
  /// geometric mean of green and the slowest layer.
  double speed_point() const;
  /// Rise of the density over the 1.30 log H from the speed point, mean of the layers.
  double rise() const;
  /// log10 H where the slope has fallen to half of its mean between speed point and 1.30 above it,
  /// mean of the layers.
  double highlight_limit() const;
  /// Net density, mean of the layers.
  double net_density(double log_h) const;
};

/// How to make a film from a table.
struct FilmRecipe {
  double iso = 400;
  double speed_error_stops = 0;
  /// Rise over the 1.30 log H from the speed point; 0.80 is ISO 6 development. The development time
  /// is interpolated. 0.55 to 1.10 can be reached.
  double rise = 0.80;
  /// Colour: densities above base as a factor of the published ones.
  double contrast = 1.0;
  /// A longer toe: net density D becomes D² / (D + toe_length).
  double toe_length = 0;
  /// A shoulder that starts this many stops above the speed point, at the latest where the table
  /// ends, and over how many log10 H its slope dies off.
  double shoulder_from_stops = 100;
  double shoulder_fold = 1.2;
  /// Where the table ends before the shoulder starts, its line goes on straight.
  bool straight_beyond_table = false;
  double granularity = 10;
  std::vector<double> base;  ///< empty: the usual base of a 35 mm film of the kind
};

/// From the measured step wedge [StepWedge], developed to `rise`, placed so that its ISO 6 speed
/// point is at 0.8 / iso.
Film black_and_white_film(const FilmRecipe& recipe = {});

/// From the published curves of a colour negative film: "100" [KodakE4046], "160" [KodakE4051],
/// "400" [KodakE4050], placed so that its ISO 5800 speed point is at sqrt(2) / iso.
Film colour_film(const FilmRecipe& recipe = {}, const std::string& table = "400");

/// A film by its published sheets (data/sheets, see LICENSE there), made as the two above are.
/// Black-and-white: developments are interpolated to `rise`; one that no sheet reaches is the
/// nearest with its densities scaled. Colour: densities are the sheet's times `contrast`.
Film published_film(const FilmRecipe& recipe, const std::string& family);
std::vector<std::string> published_families(FilmKind kind);

/// Density of a picture of exposure (lux·s): one channel a layer, as many as the film has layers;
/// CV_32F.
cv::Mat density(const cv::Mat& exposure, const Film& film);

/// The exposure that counts for the film after a time: less than H where reciprocity fails.
double reciprocity_factor(const Film& film, double seconds);

/// Standard deviation of density by grain in a square pixel, at a net density.
double grain_sigma(const Film& film, double net_density, double pixel_mm);

/// Adds grain to densities of one layer; `seed` differs by layer and scan of film.
void add_grain(cv::Mat& density, const Film& film, std::size_t layer, double pixel_mm,
               std::uint64_t seed);

}  // namespace simulator
