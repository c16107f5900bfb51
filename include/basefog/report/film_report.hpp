// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <ostream>
#include <span>
#include <string>
#include <vector>

#include "basefog/core/settings.hpp"
#include "basefog/film/film_profile.hpp"
#include "basefog/film/film_test.hpp"
#include "basefog/memory/film_memory.hpp"

namespace basefog::report {

/// A profile in words: speed and speed point, and for each layer its gradients, development, limits
/// and how sure they are; reciprocity as a short table. Plain text for a terminal.
void write_film(std::ostream& out, const film::FilmProfile& film);

/// One standard deviation of a layer's density at places in stops above the speed point: contrast,
/// toe, shoulder and speed, each varied by its own [GUM, 5.1.2].
std::vector<double> density_sigmas(const film::FilmProfile& film, std::size_t layer,
                                   std::span<const double> places);

/// What is remembered of a film: which rolls say how much, what each number is known to and was
/// before, what would make it surer. form: what it is counted from.
void write_film_memory(std::ostream& out, const memory::FilmUse& use,
                       const memory::FilmMemory& memory, const film::FilmProfile& form);

/// The same for machines: schema "basefog.film/1".
void write_film_json(std::ostream& out, const film::FilmProfile& film);

/// How far a metered mid-tone lies above the film's speed point, by the usual K and q.
Stops aim_above_speed_point(const film::FilmProfile& film);

/// The metered times of the table of reciprocity.
inline constexpr auto kReciprocityTimes =
    std::to_array<ShutterTime>({ShutterTime(1), ShutterTime(2), ShutterTime(5), ShutterTime(10),
                                ShutterTime(30), ShutterTime(60)});

/// A film test in words: speed or speed and meter together, contrast, what is missing.
void write_film_test(std::ostream& out, const film::FilmTest& test);

/// Several developments as a table, and how speed and contrast grow with time.
void write_developments(std::ostream& out, const film::DevelopmentSeries& series);

/// The profile's curves as a drawing that stands alone (SVG): net density against stops above the
/// speed point, with what they may be 95 times in 100 as a band, and speed point, aim and highlight
/// limit marked; the test's steps as circles where
/// a test and its series are given.
std::string film_plot(const film::FilmProfile& film, const film::FilmTestSeries* series = nullptr,
                      const film::FilmTest* test = nullptr);

}  // namespace basefog::report
