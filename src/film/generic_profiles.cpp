// SPDX-License-Identifier: GPL-3.0-or-later
#include <array>
#include <cmath>
#include <stdexcept>
#include <utility>

#include "basefog/core/film_facts.hpp"
#include "basefog/film/film_profile.hpp"

namespace basefog::film {
namespace {

FilmProfile one_layer(FilmKind kind, std::string name, FilmSpeed speed, const CurveShape& shape) {
  FilmProfile film;
  film.name = std::move(name);
  film.kind = kind;
  film.iso_speed = speed;
  film.layers = {{"silver", CharacteristicCurve::from_shape(shape)}};
  film.toe_sigma_stops = film_facts::kToeSigma;
  film.shoulder_sigma_stops = film_facts::kShoulderSigma;
  film.upper_gradient_sigma = film_facts::kUpperGradientSigma;
  film.reciprocity.exponent = film_facts::kReciprocityExponent;
  return film;
}

struct ColourRow {
  double exposure;  ///< stops above the ISO 5800 speed point
  double red, green, blue;
};

/// Net density (Status M less the least of the table) averaged over three published curves, each
/// read by linear interpolation relative to its own ISO 5800 speed point; the layers' standard
/// deviation between the films is 0.005 at the speed point and 0.02 to 0.06 in mid-scale
/// [KodakE4050], [KodakE4051], [KodakE4046].
constexpr auto kColourNegative = std::to_array<ColourRow>({
    {-3.0, 0.0015, 0.0004, 0.0081}, {-2.5, 0.0052, 0.0034, 0.0170}, {-2.0, 0.0112, 0.0084, 0.0213},
    {-1.5, 0.0211, 0.0176, 0.0419}, {-1.0, 0.0417, 0.0430, 0.0906}, {-0.5, 0.0822, 0.0891, 0.1655},
    {0.0, 0.1438, 0.1566, 0.2563},  {0.5, 0.2188, 0.2396, 0.3471},  {1.0, 0.2946, 0.3254, 0.4428},
    {1.5, 0.3721, 0.4102, 0.5407},  {2.0, 0.4533, 0.4950, 0.6328},  {2.5, 0.5360, 0.5796, 0.7252},
    {3.0, 0.6206, 0.6623, 0.8175},  {3.5, 0.7050, 0.7470, 0.9119},  {4.0, 0.7879, 0.8312, 1.0080},
    {4.5, 0.8700, 0.9168, 1.1069},  {5.0, 0.9507, 1.0016, 1.2049},  {5.5, 1.0341, 1.0845, 1.3034},
    {6.0, 1.1190, 1.1663, 1.4015},  {6.5, 1.2001, 1.2492, 1.4981},  {7.0, 1.2792, 1.3273, 1.5916},
    {7.5, 1.3562, 1.4055, 1.6834},  {8.0, 1.4310, 1.4839, 1.7753},  {8.5, 1.5023, 1.5603, 1.8683},
    {9.0, 1.5705, 1.6364, 1.9629},  {9.5, 1.6386, 1.7132, 2.0610},
});

/// Beyond the sheets a slow shoulder: the last gradient falls as a logistic in exposure, half of it
/// gone at film_facts::kColourShoulder.
CharacteristicCurve colour_layer(double ColourRow::*density) {
  std::vector<CurvePoint> points;
  for (const ColourRow& row : kColourNegative) {
    points.push_back({Stops(row.exposure), NetDensity(row.*density)});
  }
  constexpr double kStep = 0.5;  // the table's own, stops
  const std::size_t last = points.size() - 1;
  // Over the last two stops of the sheets.
  const double slope = (points[last].density - points[last - 4].density).value() / 2;
  constexpr int kSteps =
      static_cast<int>((film_facts::kColourEnd - kColourNegative.back().exposure) / kStep);
  for (int i = 1; i <= kSteps; ++i) {
    const double x = kColourNegative.back().exposure + i * kStep;
    const double gone =
        (x - kStep / 2 - film_facts::kColourShoulder) / film_facts::kColourShoulderWidth;
    const double rise = slope * kStep / (1 + std::exp(gone));
    points.push_back({Stops(x), points.back().density + DensityDifference(rise)});
  }
  return CharacteristicCurve::from_points(points);
}

}  // namespace

FilmProfile generic_black_and_white(FilmSpeed speed) {
  return one_layer(FilmKind::black_and_white, "generic black-and-white", speed, CurveShape{});
}

FilmProfile generic_chromogenic(FilmSpeed speed) {
  CurveShape shape;
  shape.toe_width = film_facts::kDyeToeWidth;
  shape.shoulder = film_facts::kDyeShoulder;
  shape.shoulder_width = film_facts::kDyeShoulderWidth;
  FilmProfile film =
      one_layer(FilmKind::chromogenic, "generic chromogenic black-and-white", speed, shape);
  film.layers.front().name = "dye";
  return film;
}

FilmProfile generic_colour_negative(FilmSpeed speed) {
  FilmProfile film;
  film.shoulder_sigma_stops = film_facts::kShoulderSigma;
  film.upper_gradient_sigma = film_facts::kUpperGradientSigma;
  film.layer_gradient_sigma = film_facts::kLayerGradientSigma;
  film.layer_place_sigma = film_facts::kLayerSigma;
  film.name = "generic colour negative";
  film.kind = FilmKind::colour_negative;
  film.iso_speed = speed;
  film.layers = {{"red", colour_layer(&ColourRow::red)},
                 {"green", colour_layer(&ColourRow::green)},
                 {"blue", colour_layer(&ColourRow::blue)}};
  film.reciprocity.exponent = film_facts::kReciprocityExponent;
  return film;
}

FilmProfile generic_film(FilmKind kind, FilmSpeed speed) {
  switch (kind) {
    case FilmKind::black_and_white:
      return generic_black_and_white(speed);
    case FilmKind::chromogenic:
      return generic_chromogenic(speed);
    case FilmKind::colour_negative:
      return generic_colour_negative(speed);
  }
  throw std::out_of_range("no such kind of film");
}

}  // namespace basefog::film
