// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/frame_rows.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <regex>
#include <string>
#include <utility>

#include "basefog/core/error.hpp"
#include "matching/frame_likeness.hpp"
#include "matching/name_numbers.hpp"

namespace basefog::roll {
namespace {

/// Rows that are known beforehand, by frame; an empty row says that the frame has none.
using FixedRows = std::map<std::size_t, std::optional<std::size_t>>;

/// The row in a scan's own metadata, where it says something of the exposure.
std::optional<log::LogRow> own_row(const density::FrameMeasurement& frame) {
  std::optional<log::LogRow> row = log::row_from_metadata(frame.metadata);
  if (!row) return std::nullopt;
  const bool settings = row->used.shutter || row->used.aperture || row->compensation;
  if (!settings && !row->no_picture) return std::nullopt;
  row->frame = frame.label;
  return row;
}

/// Standard deviation of an exposure, stops. One that is "at least" because light may be hidden has
/// its causes of error; of other bounds little more is known than their one side.
double exposure_sigma(const reading::FrameReading& reading) {
  constexpr double kBoundOnly = 1.5;  // judgement
  const Estimate<ExposureFromAim>& exposure = reading.exposure.estimate;
  if (exposure.two_sided()) return (*exposure.high - *exposure.low).value() / (2 * kNormal975);
  if (!exposure.low || reading.flags.contains(Flag::clipped_base)) return kBoundOnly;
  double variance = 0;
  for (const double part : reading.exposure.budget) variance += part * part;
  return std::min(kBoundOnly, std::sqrt(variance));
}

matching::MatchFrame as_match_frame(const ReferencedFrame& frame,
                                    const std::optional<reading::FrameReading>& reading) {
  const density::FrameMeasurement& measurement = frame.measurement;
  matching::MatchFrame match{.folder = measurement.file.parent_path().string(),
                             .blank = frame.state == density::FrameState::blank,
                             .picture = matching::sketch_of(measurement.apertures),
                             .date = measurement.metadata.original_date};
  if (const auto row = own_row(measurement)) match.settings = row->used;
  if (reading) {
    match.exposure = reading->exposure.estimate.value;
    match.exposure_sigma = exposure_sigma(*reading);
  }
  return match;
}

/// Each frame's label by the names of the whole roll: a number that varies over it counts frames.
std::vector<std::string> labels_of(std::span<const ReferencedFrame> frames) {
  std::map<std::filesystem::path, int> frames_on;
  for (const ReferencedFrame& frame : frames) ++frames_on[frame.measurement.file];
  std::vector<matching::NamedScan> single;
  std::vector<std::size_t> places;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const density::FrameMeasurement& frame = frames[i].measurement;
    if (frames_on[frame.file] > 1) continue;  // on a strip nothing says how it counts
    single.push_back({frame.file.stem().string(), frame.label});
    places.push_back(i);
  }
  const std::vector<std::string> found = matching::labels_in_names(single);
  std::vector<std::string> labels(frames.size());
  for (std::size_t k = 0; k < places.size(); ++k) labels[places[k]] = found[k];
  return labels;
}

/// A row of the log made of each scan's own settings belongs to that scan.
FixedRows own_rows(std::span<const ReferencedFrame> frames) {
  FixedRows own;
  std::size_t row = 0;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const bool has_row = own_row(frames[i].measurement).has_value();
    own[i] = has_row ? std::optional(row++) : std::nullopt;
  }
  return own;
}

MatchedLog with_own_rows(MatchedLog matched, std::span<const ReferencedFrame> frames) {
  matching::Matching& matching = *matched.matching;
  std::vector<std::size_t> still_unmatched;
  for (std::size_t i : matching.unmatched_frames) {
    matching::FrameMatch& match = matching.frames[i];
    auto row = match.fixed ? std::nullopt : own_row(frames[i].measurement);
    if (!row) {
      still_unmatched.push_back(i);
      continue;
    }
    match = {.row = matched.log->rows.size(), .probability = 1};
    matched.log->rows.push_back(*std::move(row));
  }
  const std::size_t added = matching.unmatched_frames.size() - still_unmatched.size();
  matching.unmatched_frames = std::move(still_unmatched);
  matching.rows_from_scans = added;
  return matched;
}

/// What is left of a name that a table cannot carry as it is: its plain letters, digits and signs.
std::string plain_letters(const std::string& name) {
  std::string letters;
  for (const char c : name) {
    if (c > ' ' && c < 0x7f && c != '\'') letters += c;
  }
  return letters;
}

/// Frames on the file of that path, or else of that name, or else of that name as far as a table
/// could carry it; of several on it the one at `index`.
std::vector<std::size_t> frames_on(std::span<const ReferencedFrame> frames, const std::string& file,
                                   std::optional<int> index) {
  std::array<std::vector<std::size_t>, 4> found;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const density::FrameMeasurement& frame = frames[i].measurement;
    if (index && frame.index != *index) continue;
    const std::string path = frame.file.string();
    const std::string name = frame.file.filename().string();
    if (path == file) found[0].push_back(i);
    if (name == file) found[1].push_back(i);
    if (plain_letters(path) == plain_letters(file)) found[2].push_back(i);
    if (plain_letters(name) == plain_letters(file)) found[3].push_back(i);
  }
  const auto first = std::ranges::find_if(found, [](const auto& way) { return !way.empty(); });
  return first == found.end() ? std::vector<std::size_t>() : *first;
}

/// Frames that a match file's name means; "sheet.tif (2)" is the second on that scan.
std::vector<std::size_t> frames_named(std::span<const ReferencedFrame> frames,
                                      const std::string& name) {
  std::vector<std::size_t> whole = frames_on(frames, name, std::nullopt);
  static const std::regex numbered(R"((.+) \(([0-9]{1,4})\))");
  std::smatch parts;
  if (!whole.empty() || !std::regex_match(name, parts, numbered)) return whole;
  return frames_on(frames, parts[1], std::stoi(parts[2]) - 1);
}

std::optional<std::size_t> row_named(const log::ShotLog& log, const std::string& name) {
  for (std::size_t row = 0; row < log.rows.size(); ++row) {
    const std::string line = "line " + std::to_string(log.rows[row].line);
    if (name == matching::row_name(log, row) || name == line) return row;
  }
  return std::nullopt;
}

/// The frames and rows that fixed pairs name.
FixedRows fix_rows(std::span<const ReferencedFrame> frames, const log::ShotLog& log,
                   const WrittenPairs& given) {
  FixedRows fixed;
  std::map<std::size_t, int> line_of_row;
  const auto fail = [&](const matching::WrittenPair& pair, const std::string& what,
                        const std::string& next) {
    throw InputError(ErrorCode::malformed, given.file, fmt::format(fmt::runtime(what), pair.line),
                     next);
  };
  for (const matching::WrittenPair& pair : given.pairs) {
    if (!pair.fixed) continue;
    const std::vector<std::size_t> named = frames_named(frames, pair.file);
    if (named.empty()) {
      fail(pair, "names a scan in line {} that is not on this roll",
           "correct the name, or delete the line");
    }
    if (named.size() > 1) {
      fail(pair, "names several frames in line {}",
           "write the whole path, and (2) behind it for the second frame on a scan");
    }
    std::optional<std::size_t> row;
    if (!pair.row.empty()) row = row_named(log, pair.row);
    if (!pair.row.empty() && !row) {
      fail(pair, "names a frame in line {} that the log has no row for, or several",
           "write the frame as in the log, or \"line 12\" for the log's twelfth line");
    }
    if (!fixed.emplace(named.front(), row).second) {
      fail(pair, "names the scan in line {} a second time", "delete one of the lines");
    }
    if (row && !line_of_row.emplace(*row, pair.line).second) {
      fail(pair, "gives the row in line {} to a second scan", "leave one of the two empty");
    }
  }
  return fixed;
}

/// Lines that name another row than was found and are not marked as fixed.
std::vector<int> unmarked_lines(std::span<const ReferencedFrame> frames, const log::ShotLog& log,
                                const WrittenPairs& given, const MatchedLog& matched) {
  std::vector<int> lines;
  for (const matching::WrittenPair& pair : given.pairs) {
    const std::vector<std::size_t> named = frames_named(frames, pair.file);
    if (pair.fixed || named.size() != 1) continue;
    const auto row = pair.row.empty() ? std::nullopt : row_named(log, pair.row);
    if (row != matched.row_index(named.front())) lines.push_back(pair.line);
  }
  return lines;
}

}  // namespace

Written read_written(const ReviewOptions& options) {
  Written written;
  if (options.log) {
    try {
      written.log = log::read_shot_log(*options.log);
    } catch (const InputError& error) {
      // A slip of the name shows at once; a log that cannot be read does not cost the readings.
      if (error.code() == ErrorCode::not_found) throw;
      written.failure = density::ScanFailure{*options.log, Flag::unreadable_file, error.problem(),
                                             error.next_step()};
      return written;
    }
    if (options.camera) log::check_against_camera(*written.log, *options.camera);
  }
  if (options.match) {
    written.pairs = {.file = *options.match, .pairs = matching::read_match_file(*options.match)};
  }
  return written;
}

Written or_from_scans(Written written, std::span<const density::FrameMeasurement> frames) {
  if (written.log || written.failure) return written;
  log::ShotLog log;
  for (const density::FrameMeasurement& frame : frames) {
    if (auto row = own_row(frame)) log.rows.push_back(*std::move(row));
  }
  if (!log.rows.empty()) written.log = std::move(log);
  return written;
}

MatchedLog match_rows(std::span<const ReferencedFrame> frames, const FrameReadings& readings,
                      const film::FilmProfile& film, const Written& written,
                      const std::optional<FrameHasRow>& supposed) {
  if (!written.log && written.pairs) {
    throw InputError(ErrorCode::usage, written.pairs->file,
                     "pairs scans with rows, and there is no log",
                     "give the roll's log with --log");
  }
  if (!written.log) return {};
  const log::ShotLog& log = *written.log;
  const bool log_is_of_scans = log.path.empty();
  FixedRows fixed = written.pairs ? fix_rows(frames, log, *written.pairs) : FixedRows();
  if (supposed) fixed[supposed->frame] = supposed->row;
  if (log_is_of_scans) fixed.merge(own_rows(frames));  // what is fixed already stays

  std::vector<std::string> labels = labels_of(frames);
  std::vector<matching::MatchFrame> to_match;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    matching::MatchFrame frame = as_match_frame(frames[i], readings[i]);
    frame.label = std::move(labels[i]);
    if (const auto pair = fixed.find(i); pair != fixed.end()) {
      frame.fixed = true;
      frame.fixed_row = pair->second;
    }
    to_match.push_back(std::move(frame));
  }
  MatchedLog matched{.log = log, .matching = matching::match_frames(to_match, log, film)};
  if (written.pairs) {
    matched.matching->unmarked_lines = unmarked_lines(frames, log, *written.pairs, matched);
  }
  if (log_is_of_scans) {
    matched.matching->log_test.reset();  // the scans' own settings need nobody to vouch for them
    return matched;
  }
  return with_own_rows(std::move(matched), frames);
}

MatchedLog vouched_by_series(MatchedLog rows, const RollFilm& film) {
  if (!film.by_series || !rows.matching || !rows.matching->log_test) return rows;
  matching::WholeLogTest& test = *rows.matching->log_test;
  if (test.belongs != matching::LogBelongs::unknown) return rows;
  test.belongs = matching::LogBelongs::yes;
  test.witnesses = {matching::LogWitness::series};
  return rows;
}

}  // namespace basefog::roll
