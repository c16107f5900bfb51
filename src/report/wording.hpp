// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "basefog/roll/analysis.hpp"
#include "report/stops_text.hpp"

// The words and numbers that every writer prints alike, in plain UTF-8 that is not yet escaped.
namespace basefog::report {

/// With a capital first letter (ASCII).
std::string sentence_case(std::string text);

/// A name of a closed list as words: "aperture_priority" as "aperture priority".
std::string spaced(std::string_view name);

/// "-0.6 (-0.9 to -0.3)", "at least -0.9", "at most -0.3", "not known" with neither end.
std::string estimate_text(const StopsEstimate& estimate);
template <class Zero>
std::string estimate_text(const Estimate<ExposurePoint<Zero>>& estimate) {
  return estimate_text(in_stops(estimate));
}

/// True where the estimate may be shown as measured: finite, with at least one end of its interval.
bool is_known(const StopsEstimate& estimate);
template <class Zero>
bool is_known(const Estimate<ExposurePoint<Zero>>& estimate) {
  return is_known(in_stops(estimate));
}

/// What a frame counts as: what its picture was, or why that is not known. A verdict that is unsure
/// counts as that and not as under or over.
enum class Outcome { well_exposed, under, over, unsure, blank, not_measured };
Outcome outcome_of(const roll::FrameResult& frame);

/// A short name for each frame, unique on the roll: its label, else the file's name without its
/// ending, where others share that behind its folder's or as a whole; with the frame's place on a
/// scan of several.
std::vector<std::string> frame_names(const roll::Analysis& analysis);

/// Where a scan's response was taken from: "profile 'Gray Gamma 2.2'", "sRGB, declared in Exif".
std::string response_text(const response::ResponseSource& source);

/// Eight hexadecimal digits.
std::string crc32_text(const density::FileSum& sum);

/// That of a scan; null where none is known.
const density::FileSum* sum_of(const roll::Analysis& analysis, const std::filesystem::path& scan);

/// "film-speed 100": each option that was stated.
std::vector<std::string> stated_texts(const roll::Analysis& analysis);

/// The camera as its file names it, else as the log does; may be empty.
std::string camera_name(const roll::Analysis& analysis);

/// A frame's file, with "#INDEX" where the scan holds several.
std::string file_and_index(const roll::Analysis& analysis, std::size_t place);

/// The log's row that belongs to a frame; null if none.
const log::LogRow* row_of(const roll::Analysis& analysis, const roll::FrameResult& frame);

/// "row 12 (64 %), row 13 (30 %) or no row (6 %)" for a frame whose row is doubtful; else empty.
std::string possible_rows_text(const roll::Analysis& analysis, std::size_t place);

/// What the picture needed, in parts that are set apart.
struct PictureWords {
  std::string needed;      ///< "under 0.8", or why that is not known: "no clear film to read from"
  std::string range{};     ///< "0.4 to 1.3"; empty where nothing is known
  std::string sureness{};  ///< "sure", "likely", "unsure"; likewise
};
PictureWords picture_words(const roll::FrameResult& frame);

/// The same in one: "under 0.8 (0.4 to 1.3), sure".
std::string picture_text(const roll::FrameResult& frame);

/// Why the picture and the exposure against the aim say different things, as one sentence; empty
/// where they agree within half a stop, or where one is not known.
std::string disagreement_text(const reading::FrameReading& reading);

/// "What would make the exposure surer: ...", and the same of the other answers: the causes of most
/// of each one's doubt over the roll's frames (root mean square), with the half width that each
/// makes (stops, 95 %) and what would lessen it. Empty where all is small.
std::string doubt_text(const roll::Analysis& analysis);

/// "Light on the film: the blue layer got 1.8 stops less than the green, the red 0.5 more, as by
/// lamplight."; empty without three layers.
std::string light_colour_text(const reading::FrameReading& reading);

/// What colour numbers rest on: channels are not unmixed; empty for other film.
std::string channels_text(const film::FilmProfile& film);

/// "14 frames: 5 well exposed, 3 under, 2 over, 4 could not be measured."
std::string roll_text(const roll::Analysis& analysis);
/// "Along the roll the camera gives less and less: -0.8 (-1.2 to -0.3) from the first frame to the
/// last, over 30 frames."; empty where too few frames show it.
std::string trend_text(const roll::Analysis& analysis);
/// "Generic black-and-white, ISO 400; aim 0.0203 lux·s (K 12.5, q 0.65)."
std::string method_text(const roll::Analysis& analysis);
/// "1/500": a factor and level as a person says them.
std::string effect_name(const meter::BiasEffect& effect);
/// "+0.8 (+0.5 to +1.1)"; what changes with the light, in stops an EV, to a hundredth.
std::string effect_text(const meter::BiasEffect& effect);
/// "1/125, f/8, EI 400, +1.0, aperture priority".
std::string settings_text(const log::LogRow& row);

/// "1, 2 and 5", or "1, 2, 5 and 9 more" beyond `most`.
std::string list_text(const std::vector<std::string>& names, std::size_t most);

}  // namespace basefog::report
