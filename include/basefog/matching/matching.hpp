// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "basefog/film/film_profile.hpp"
#include "basefog/log/log.hpp"

namespace basefog::matching {

/// A frame's picture as a few numbers, to see whether two frames show the same view.
struct PictureSketch {
  /// Cells of 3 mm on 24x36: what a hand-held camera moves between two shots of one view stays in
  /// its cell, or goes to the next (judgement).
  static constexpr int kColumns = 12;
  static constexpr int kRows = 8;  ///< likewise
  /// Density relative to the frame's mean, row by row from the upper left; empty where unknown.
  std::vector<float> density;
  bool upright = false;  ///< the frame was higher than wide, so the sketch cannot be laid on others
};

/// How alike two pictures are: the correlation of their sketches where one, moved by up to a sixth
/// of the frame, lies best on the other; -1 to 1. Nothing where either is unknown or has no
/// contrast, or where only one is upright.
std::optional<double> likeness(const PictureSketch& a, const PictureSketch& b);

/// What matching knows of one frame: a few numbers, so that it can be tested without pictures.
struct MatchFrame {
  std::string label;   ///< from the file name; may be empty
  std::string folder;  ///< the scan's folder, to recognise a roll that was scanned into several
  bool blank = false;  ///< shows no picture
  std::optional<ExposureFromAim> exposure;  ///< metered mean; absent: not measured
  double exposure_sigma = 0.5;              ///< its standard deviation, stops
  PictureSketch picture;                    ///< to find frames of one view
  std::string date;                         ///< ISO 8601, when the picture was taken, if known
  log::ShotSettings settings;               ///< the taking camera's, from the scan's own metadata
  /// Fixed by the user: the row, or that there is none.
  bool fixed = false;
  std::optional<std::size_t> fixed_row;  ///< index into the log's rows, where `fixed`; absent: none
};

/// Whether the scans run along the film or against it.
enum class FilmDirection {
  forward,   ///< the scans' order is the film's
  reversed,  ///< the scans run from the film's end
};
std::string_view name_of(FilmDirection direction);  ///< as in JSON

/// The way in which the scans lie on the film, against the order in which they were given.
enum class ScanWay {
  as_given,          ///< the order given is the film's
  backwards,         ///< from the last frame to the first
  by_numbers,        ///< as the files' numbers say, where the order given breaks them
  by_dates,          ///< likewise
  strips_backwards,  ///< each strip from its last frame to its first
  strips_exchanged,  ///< the strips from the last to the first
  folders_in_turn,   ///< one scan from each folder after another
  folders_exchanged  ///< the folder named last holds the beginning
};

/// A pairing less probable than this is doubtful (judgement: one in ten would spoil the bias).
inline constexpr double kDoubtful = 0.9;

/// Rows less probable than this are left out of what a frame may have.
inline constexpr double kLeastPossible = 0.01;

/// A row that a frame may belong to, or none, and how probable that is.
struct PossibleRow {
  std::optional<std::size_t> row;  ///< index into the log's rows; absent: none
  double probability = 0;          ///< 0 to 1
};

/// The row that a frame got, and which others it may have.
struct FrameMatch {
  std::optional<std::size_t> row;  ///< index into the log's rows
  double probability = 0;          ///< of this pairing
  bool doubtful = false;           ///< less probable than kDoubtful
  bool fixed = false;              ///< by the user
  /// The rows that it may have, and none, most probable first: all that are kLeastPossible.
  std::vector<PossibleRow> possible;
};

/// What became of numbers that both files and rows state.
struct StatedNumbers {
  double hold = 0;  ///< probability that both are the frames' on the film, but for an offset
  /// Pairs whose numbers differ by another offset than is usual: readings spoke against them.
  std::size_t broken = 0;
};

/// Whether a log is of the roll that it was given with.
enum class LogBelongs {
  yes,      ///< its rows fit the frames in their places, and not elsewhere
  unknown,  ///< its rows would fit anywhere
  no        ///< its rows fit no better in their places than moved along the roll, and would
};
std::string_view name_of(LogBelongs belongs);  ///< as in JSON

/// What speaks for a log being of this roll.
enum class LogWitness {
  exposures,  ///< they follow what the rows asked for
  light,      ///< it is as the rows' words say
  views,      ///< they repeat where the rows do
  dates,      ///< of pictures and rows
  settings,   ///< in the scans, as in the rows
  series,     ///< views at the exposures that rows step through
  person,     ///< rows were fixed by hand
};

/// The whole log against itself moved along the roll.
struct WholeLogTest {
  LogBelongs belongs = LogBelongs::unknown;  ///< decided by `gain` and `spread`, or by a person
  /// ln of the likelihood of the rows in their places, less its mean over the moved logs.
  double gain = 0;
  double spread = 0;  ///< standard deviation over the moved logs
  /// The log could be moved along the roll and nothing would change: it asks for much the same all
  /// over, or is too short to be moved. What the camera gave on average does not rest on it then.
  bool alike_anywhere = true;
  std::vector<LogWitness> witnesses;  ///< what speaks for it, most first; empty but for yes
};

/// Frames and rows paired, and how sure that is as a whole and pair by pair.
struct Matching {
  FilmDirection direction = FilmDirection::forward;  ///< of the likeliest order
  double confidence = 0;                             ///< probability of the least sure pairing
  std::vector<FrameMatch> frames;                    ///< one per frame, in the order given
  std::vector<std::size_t> film_order;      ///< frames as they lie on the film, first exposed first
  std::vector<std::size_t> unmatched_rows;  ///< no frame has them
  std::vector<std::size_t> unmatched_frames;  ///< they have no row
  ScanWay way = ScanWay::as_given;            ///< how film_order lies against the order given
  std::size_t strip = 0;                      ///< scans in a strip, where the way goes by strips
  double way_probability = 1;                 ///< of `way`, 0 to 1
  /// What most paired rows' numbers are above their files'; 0 where no difference is usual.
  double number_offset = 0;
  std::optional<StatedNumbers> numbers;  ///< where both sides state them
  /// Neighbours that seem to be scans of one frame, so that only one of each pair has its row.
  std::vector<std::pair<std::size_t, std::size_t>> scanned_twice;
  std::optional<WholeLogTest> log_test;  ///< absent where nothing could be matched
  /// Lines of the match file that name another row than was found, not marked as fixed.
  std::vector<int> unmarked_lines;
  std::size_t rows_from_scans = 0;  ///< frames whose row was made of the scan's own settings
};

/// Pairs frames with log rows by weighing all alignments of all orders in which a roll may have
/// been scanned: forward, backward, in strips of 4 to 6, by the numbers of the files, by folders.
///
/// What speaks for an alignment: numbers of files and rows and the gaps in them; blank frames;
/// exposure against what a row asked for, once the roll's common offset and each speed's are taken
/// off; brightness of the scene against the row's words; neighbours that look alike against rows
/// that describe one view; dates; settings in the scans. frames: in the order given on the command
/// line, of one roll.
///
/// What cannot be known: with a camera that sets the exposure itself every frame gets the same,
/// so without numbers, compensations or pictures that repeat, a row that was forgotten may have
/// stood anywhere. Such frames are doubtful.
Matching match_frames(std::span<const MatchFrame> frames, const log::ShotLog& log,
                      const film::FilmProfile& film);

/// A pair as written in a match file.
struct WrittenPair {
  std::string file;   ///< name or path of the scan, with " (2)" for the second frame on it
  std::string row;    ///< the row's frame label, or "line N" of the log; empty: no row
  int line = 0;       ///< in the match file, from 1
  bool fixed = true;  ///< marked so by the person, or in a file without a column for it
};

/// How a match file and the reports name a row: by its frame label, or as "line N" of the log where
/// it has none or shares it with another row.
std::string row_name(const log::ShotLog& log, std::size_t row);

/// Reads a match file: separated values with columns "file" and "frame", and "fixed", which says
/// yes, x or 1 where the person is sure; any others ignored. Without a column "fixed" all pairs are
/// fixed. Throws InputError: not_found, unreadable, malformed (names the line).
std::vector<WrittenPair> read_match_file(const std::filesystem::path& path);

}  // namespace basefog::matching
