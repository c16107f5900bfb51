// SPDX-License-Identifier: GPL-3.0-or-later
#include "simulator/film.hpp"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <iterator>
#include <map>
#include <numbers>
#include <numeric>
#include <opencv2/imgproc.hpp>
#include <sstream>
#include <stdexcept>

#include "simulator/noise.hpp"

namespace simulator {
namespace {

constexpr double kStop = 0.30102999566398120;  ///< log10(2)
constexpr double kTriangle = 1.30;             ///< log H over which ISO 6 measures contrast
const std::filesystem::path kData = SIMULATOR_DATA;

std::vector<double> numbers_of(const std::string& line) {
  std::vector<double> values;
  std::istringstream stream(line);
  for (std::string cell; std::getline(stream, cell, ',');) values.push_back(std::stod(cell));
  return values;
}

double bisect(double low, double high, const auto& below) {
  for (int i = 0; i < 60; ++i) {
    const double middle = (low + high) / 2;
    (below(middle) ? low : high) = middle;
  }
  return (low + high) / 2;
}

double slope(const Film& film, double log_h) {
  constexpr double kHalf = 0.05;
  return (film.net_density(log_h + kHalf) - film.net_density(log_h - kHalf)) / (2 * kHalf);
}

/// One layer from densities with base: net, with the recipe's toe, cut where its shoulder starts.
LayerCurve layer_from(const CurveTable& table, std::vector<double> column, const FilmRecipe& recipe,
                      double shoulder_from_log_h) {
  const double base = column.front();
  for (double& d : column) {
    d = std::max(0.0, d - base);
    if (d > 0) d = d * d / (d + recipe.toe_length);
  }
  const auto keep =
      static_cast<std::size_t>(std::clamp((shoulder_from_log_h - table.first_log_h) / table.step,
                                          6.0, recipe.straight_beyond_table ? 200.0 : 1e4));
  const std::size_t span = static_cast<std::size_t>(std::round(0.5 / table.step));
  const double rise =
      (column.back() - column[column.size() - 1 - span]) / static_cast<double>(span);
  while (recipe.straight_beyond_table && column.size() < keep) {
    column.push_back(column.back() + rise);
  }
  column.resize(std::min(keep, column.size()));
  return {table.first_log_h, table.step, column, recipe.shoulder_fold};
}

/// Makes the layers, finds the speed point, and makes them again with a shoulder measured from it.
void build_layers(Film& film, const CurveTable& table, const FilmRecipe& recipe) {
  double shoulder = 1e9;
  for (int pass = 0; pass < 2; ++pass) {
    film.layers.clear();
    for (const auto& column : table.columns) {
      film.layers.push_back(layer_from(table, column, recipe, shoulder));
      film.layers.back().scale(recipe.contrast);
    }
    shoulder = film.speed_point() + recipe.shoulder_from_stops * kStop;
  }
  const double speed_constant = film.kind == FilmKind::black_and_white ? 0.8 : std::sqrt(2.0);
  const double wanted = std::log10(speed_constant / recipe.iso) - recipe.speed_error_stops * kStop;
  const double shift = wanted - film.speed_point();
  for (LayerCurve& layer : film.layers) layer.shift(shift);
}

/// Readings on the table's even axis up to `last`, straight between them and on beyond the last
/// one; what dips is held.
std::vector<double> evenly(const std::map<double, double>& points, const CurveTable& table,
                           double last) {
  std::vector<double> column;
  for (double x = table.first_log_h; x < last + table.step / 2; x += table.step) {
    auto above = points.lower_bound(x);
    double density = points.begin()->second;
    if (above != points.begin()) {
      if (above == points.end()) --above;
      const auto below = std::prev(above, above == points.begin() ? 0 : 1);
      density = below->second + (x - below->first) * (above->second - below->second) /
                                    (above->first - below->first);
    }
    column.push_back(column.empty() ? density : std::max(density, column.back()));
  }
  return column;
}

/// One column between the development times, time counted in columns.
CurveTable developed(const CurveTable& table, double time) {
  const auto last = static_cast<double>(table.columns.size() - 1);
  const auto below = static_cast<std::size_t>(std::clamp(std::floor(time), 0.0, last - 1));
  const double share = time - static_cast<double>(below);
  CurveTable result = table;
  result.columns = {table.columns[below]};
  for (std::size_t i = 0; i < result.columns[0].size(); ++i) {
    result.columns[0][i] += share * (table.columns[below + 1][i] - table.columns[below][i]);
  }
  return result;
}

/// Grain grows with the root of the density; fog and base leave a little of it on clear film.
double grain_growth(double net_density) {
  constexpr double kFog = 0.08;
  return std::sqrt((std::max(0.0, net_density) + kFog) / (1 + kFog));
}

}  // namespace

CurveTable read_curve_table(const std::filesystem::path& path) {
  std::ifstream file(path);
  if (!file) throw std::runtime_error("cannot read " + path.string());
  std::vector<double> log_h;
  CurveTable table;
  bool header = true;
  for (std::string line; std::getline(file, line);) {
    if (line.empty() || line[0] == '#') continue;
    if (header) {
      header = false;
      continue;
    }
    const std::vector<double> row = numbers_of(line);
    log_h.push_back(row.at(0));
    table.columns.resize(row.size() - 1);
    for (std::size_t c = 1; c < row.size(); ++c) table.columns[c - 1].push_back(row[c]);
  }
  if (log_h.size() < 8) throw std::runtime_error("too few rows in " + path.string());
  table.first_log_h = log_h.front();
  table.step = (log_h.back() - log_h.front()) / static_cast<double>(log_h.size() - 1);
  for (std::size_t i = 0; i < log_h.size(); ++i) {
    const double even = table.first_log_h + table.step * static_cast<double>(i);
    if (std::abs(log_h[i] - even) > 0.05 * table.step) {
      throw std::runtime_error("uneven log H in " + path.string());
    }
  }
  return table;
}

CurveTable read_sheets(const std::vector<std::filesystem::path>& paths) {
  using Points = std::map<double, double>;
  std::vector<Points> layers;
  for (const std::filesystem::path& path : paths) {
    std::ifstream file(path);
    if (!file) throw std::runtime_error("cannot read " + path.string());
    std::map<std::string, Points> found;
    for (std::string line; std::getline(file, line);) {
      if (line.empty() || line[0] == '#' || line.starts_with("layer,")) continue;
      const std::size_t comma = line.find(',');
      const std::vector<double> numbers = numbers_of(line.substr(comma + 1));
      found[line.substr(0, comma)][numbers.at(0)] = numbers.at(1);
    }
    for (const char* name : {"silver", "red", "green", "blue"}) {
      if (found.contains(name)) layers.push_back(found[name]);
    }
  }
  CurveTable table{.first_log_h = 1e9, .step = 0.1};
  double last = -1e9;
  for (const Points& points : layers) {
    table.first_log_h = std::min(table.first_log_h, points.begin()->first);
    last = std::max(last, points.rbegin()->first);
  }
  for (const Points& points : layers) table.columns.push_back(evenly(points, table, last));
  return table;
}

LayerCurve::LayerCurve(double first_log_h, double step, std::vector<double> net_density,
                       double shoulder_fold)
    : first_log_h_(first_log_h), step_(step), control_(std::move(net_density)) {
  // The last readings are rounded: the slope that dies off is a mean over up to 0.5 log H.
  const std::size_t span = std::min<std::size_t>(
      control_.size() - 1, static_cast<std::size_t>(std::max(1.0, std::round(0.5 / step))));
  double rise =
      (control_.back() - control_[control_.size() - 1 - span]) / static_cast<double>(span);
  const double decay = std::exp(-step / shoulder_fold);
  const auto steps = static_cast<int>(std::ceil(6 * shoulder_fold / step));
  for (int i = 0; i < steps; ++i) {
    rise *= decay;
    control_.push_back(control_.back() + rise);
  }
}

double LayerCurve::net_density(double log_h) const {
  const double place = (log_h - first_log_h_) / step_;
  const auto last = static_cast<std::ptrdiff_t>(control_.size() - 1);
  const auto i = static_cast<std::ptrdiff_t>(
      std::floor(std::clamp(place, -2.0, static_cast<double>(last) + 2)));
  const double u = std::clamp(place - static_cast<double>(i), 0.0, 1.0);
  const auto at = [&](std::ptrdiff_t k) {
    return control_[std::clamp<std::ptrdiff_t>(k, 0, last)];
  };
  const double u2 = u * u;
  const double u3 = u2 * u;
  return ((1 - u) * (1 - u) * (1 - u) * at(i - 1) + (3 * u3 - 6 * u2 + 4) * at(i) +
          (-3 * u3 + 3 * u2 + 3 * u + 1) * at(i + 1) + u3 * at(i + 2)) /
         6;
}

double LayerCurve::log_h(double net) const {
  const double end = first_log_h_ + step_ * static_cast<double>(control_.size() - 1);
  return bisect(first_log_h_ - 2 * step_, end, [&](double x) { return net_density(x) < net; });
}

void LayerCurve::shift(double log_h) { first_log_h_ += log_h; }

void LayerCurve::scale(double factor) {
  for (double& d : control_) d *= factor;
}

double Film::speed_point() const {
  if (kind == FilmKind::black_and_white) return layers.at(0).log_h(0.10);
  double slowest = -1e9;
  for (const LayerCurve& layer : layers) slowest = std::max(slowest, layer.log_h(0.15));
  return (layers.at(1).log_h(0.15) + slowest) / 2;
}

double Film::net_density(double log_h) const {
  double sum = 0;
  for (const LayerCurve& layer : layers) sum += layer.net_density(log_h);
  return sum / static_cast<double>(layers.size());
}

double Film::rise() const {
  const double from = speed_point();
  return net_density(from + kTriangle) - net_density(from);
}

double Film::highlight_limit() const {
  const double from = speed_point() + kTriangle;
  const double half = rise() / kTriangle / 2;
  double log_h = from;
  while (slope(*this, log_h) > half && log_h < from + 6) log_h += 0.005;
  return log_h;
}

namespace {

Film empty_film(FilmKind kind, const FilmRecipe& recipe) {
  Film film;
  film.kind = kind;
  film.iso = recipe.iso;
  film.speed_error_stops = recipe.speed_error_stops;
  film.granularity = recipe.granularity;
  film.base = recipe.base;
  return film;
}

Film developed_to_rise(const CurveTable& times, const FilmRecipe& recipe) {
  Film film = empty_film(FilmKind::black_and_white, recipe);
  if (film.base.empty()) film.base = {0.28};
  const auto build = [&](double time) {
    build_layers(film, developed(times, time), recipe);
    return film.rise();
  };
  const double last = static_cast<double>(times.columns.size() - 1);
  if (recipe.rise < build(0) || recipe.rise > build(last)) {
    throw std::invalid_argument("no development time of the table gives this rise");
  }
  build(bisect(0, last, [&](double time) { return build(time) < recipe.rise; }));
  return film;
}

Film in_colour(const CurveTable& table, const FilmRecipe& recipe) {
  Film film = empty_film(FilmKind::colour_negative, recipe);
  if (film.base.empty()) {
    for (const auto& column : table.columns) film.base.push_back(column.front());
  }
  build_layers(film, table, recipe);
  return film;
}

/// The development nearest to the rise, its densities scaled to it.
Film scaled_to_rise(const CurveTable& times, FilmRecipe recipe) {
  for (int pass = 0; pass < 8; ++pass) {
    Film film = empty_film(FilmKind::black_and_white, recipe);
    if (film.base.empty()) film.base = {0.28};
    const auto rise_at = [&](double time) {
      build_layers(film, developed(times, time), recipe);
      return film.rise();
    };
    const double last = static_cast<double>(times.columns.size() - 1);
    const double rise = recipe.rise < rise_at(0) ? rise_at(0) : rise_at(last);
    if (std::abs(rise - recipe.rise) < 1e-3) return film;
    recipe.contrast *= recipe.rise / rise;
  }
  throw std::invalid_argument("the sheet cannot be scaled to this rise");
}

struct Family {
  FilmKind kind;
  std::vector<std::string> sheets;
};
const std::map<std::string, Family>& families() {
  const auto colour = [](const char* sheet) { return Family{FilmKind::colour_negative, {sheet}}; };
  static const std::map<std::string, Family> all = {
      {"5222",
       {FilmKind::black_and_white, {"KODAK_5222_DEV_4", "KODAK_5222_DEV_6", "KODAK_5222_DEV_12"}}},
      {"tri-x", {FilmKind::black_and_white, {"KODAK_TRI_X_400_DEV_6", "KODAK_TRI_X_400_DEV_9"}}},
      {"c200", colour("FUJI_C200")},
      {"160c", colour("FUJI_PRO_160C")},
      {"400h", colour("FUJI_PRO_400H")},
      {"xtra 400", colour("FUJI_SUPERIA_XTRA_400")},
      {"gold 200", colour("KODAK_GOLD_200")},
      {"800", colour("KODAK_PORTRA_800")},
      {"ultramax 400", colour("KODAK_ULTRAMAX_400")},
      {"vericolor", colour("KODAK_VERICOLOR_III")},
  };
  return all;
}

}  // namespace

Film black_and_white_film(const FilmRecipe& recipe) {
  return developed_to_rise(read_curve_table(kData / "step_wedge.csv"), recipe);
}

Film colour_film(const FilmRecipe& recipe, const std::string& name) {
  return in_colour(read_curve_table(kData / ("colour_" + name + ".csv")), recipe);
}

std::vector<std::string> published_families(FilmKind kind) {
  std::vector<std::string> names;
  for (const auto& [name, family] : families()) {
    if (family.kind == kind) names.push_back(name);
  }
  return names;
}

Film published_film(const FilmRecipe& recipe, const std::string& name) {
  const Family& family = families().at(name);
  std::vector<std::filesystem::path> paths;
  for (const std::string& sheet : family.sheets)
    paths.push_back(kData / "sheets" / (sheet + ".csv"));
  const CurveTable table = read_sheets(paths);
  if (family.kind == FilmKind::colour_negative) return in_colour(table, recipe);
  try {
    return developed_to_rise(table, recipe);
  } catch (const std::invalid_argument&) {
    return scaled_to_rise(table, recipe);
  }
}

cv::Mat density(const cv::Mat& exposure, const Film& film) {
  const int layers = static_cast<int>(film.layers.size());
  if (exposure.channels() != layers) throw std::invalid_argument("one exposure a layer is needed");
  // A table of 200 values a decade, straight between them: to 0.0001 of the spline.
  constexpr double kLow = -7;
  constexpr double kHigh = 5;
  constexpr int kPerDecade = 200;
  std::vector<std::vector<float>> fine(layers);
  for (int c = 0; c < layers; ++c) {
    for (int i = 0; i <= static_cast<int>((kHigh - kLow) * kPerDecade) + 1; ++i) {
      const double log_h = kLow + static_cast<double>(i) / kPerDecade;
      fine[c].push_back(static_cast<float>(film.base.at(c) + film.layers[c].net_density(log_h)));
    }
  }
  cv::Mat result(exposure.size(), CV_32FC(layers));
  for (int y = 0; y < exposure.rows; ++y) {
    const auto* h = exposure.ptr<float>(y);
    auto* d = result.ptr<float>(y);
    for (int k = 0; k < exposure.cols * layers; ++k) {
      const double log_h = h[k] > 0 ? std::clamp(std::log10(h[k] * 1.0), kLow, kHigh) : kLow;
      const double place = (log_h - kLow) * kPerDecade;
      const auto i = static_cast<std::size_t>(place);
      const auto u = static_cast<float>(place - static_cast<double>(i));
      const auto& table = fine[k % layers];
      d[k] = table[i] + u * (table[i + 1] - table[i]);
    }
  }
  return result;
}

double reciprocity_factor(const Film& film, double seconds) {
  // Time t acts as t^(1/P): the corrected time that gives t's density is t^P.
  return seconds > 1 ? std::pow(seconds, 1 / film.reciprocity_exponent - 1) : 1;
}

double grain_sigma(const Film& film, double net_density, double pixel_mm) {
  constexpr double kAperture = std::numbers::pi * 0.024 * 0.024;  ///< 48 micrometres across, mm²
  // [Selwyn] sigma falls with the root of the area.
  return film.granularity / 1000 * std::sqrt(kAperture / (pixel_mm * pixel_mm)) *
         grain_growth(net_density);
}

void add_grain(cv::Mat& density, const Film& film, std::size_t layer, double pixel_mm,
               std::uint64_t seed) {
  if (film.granularity <= 0) return;
  cv::Mat grain = normal_picture(density.size(), Noise(seed).fork(layer));
  const double sigma = film.grain_size_mm / pixel_mm;
  if (sigma > 0.2) cv::GaussianBlur(grain, grain, {0, 0}, sigma);
  const double base = film.base.at(layer);
  const double unit = grain_sigma(film, 1, pixel_mm);
  for (int y = 0; y < density.rows; ++y) {
    auto* d = density.ptr<float>(y);
    const auto* g = grain.ptr<float>(y);
    for (int x = 0; x < density.cols; ++x) {
      d[x] += static_cast<float>(unit * grain_growth(d[x] - base) * g[x]);
    }
  }
}

}  // namespace simulator
