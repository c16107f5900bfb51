// SPDX-License-Identifier: GPL-3.0-or-later
// What is known of a film, in sentences.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "basefog/evidence/exposure_series.hpp"
#include "basefog/film/film_test.hpp"
#include "basefog/roll/analysis.hpp"
#include "basefog/roll/film_test_frames.hpp"

namespace basefog::report {

/// "developed softer than normal: average gradient 0.52"; for a pushed (pulled) film whose contrast
/// went the way that pushing sends it, "average gradient 0.78, as pushing by 1 stop makes it".
std::string development_text(double average_gradient, std::optional<Stops> push = {});

/// What earlier rolls say of the film; nothing where they say nothing.
std::vector<std::string> memory_texts(const memory::FilmMemory& memory);

/// What exposure series on a roll say of its film, and which frames were left out.
std::vector<std::string> series_texts(const evidence::SeriesContrast& contrast);

/// The film as the roll shows it: what series say, how it was developed, what a push was taken to
/// do. May be empty.
std::vector<std::string> film_texts(const roll::Analysis& analysis);

/// A film test: how the film was developed, which steps are missing, what the exposures leave open.
std::vector<std::string> film_test_texts(const film::FilmTest& test);

/// Each pair of a single and a multiple exposure, and how many of them disagree.
std::vector<std::string> exposure_pair_texts(const film::DevelopmentSeries& series);

/// The frames that a film test leaves out, each with the reason, and what the log does not say.
std::vector<std::string> film_test_frames_texts(const roll::FilmTestFrames& frames);

}  // namespace basefog::report
