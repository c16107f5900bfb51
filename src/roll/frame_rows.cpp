// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/frame_rows.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "basefog/core/error.hpp"
#include "matching/frame_likeness.hpp"

namespace basefog::roll {
namespace {

/// The row in a scan's own metadata, where it says something of the exposure.
std::optional<log::LogRow> own_row(const FrameResult& frame) {
  std::optional<log::LogRow> row = log::row_from_metadata(frame.measurement.metadata);
  if (!row) return std::nullopt;
  const bool settings = row->used.shutter || row->used.aperture || row->compensation;
  if (!settings && !row->no_picture) return std::nullopt;
  row->frame = frame.measurement.label;
  return row;
}

/// Standard deviation of an exposure, stops. One that is "at least" because light may be hidden has
/// its causes of error; of other bounds little more is known than their one side.
double exposure_sigma(const reading::FrameReading& reading) {
  constexpr double kBoundOnly = 1.5;  // judgement
  const StopsEstimate& exposure = reading.exposure.estimate;
  if (exposure.two_sided()) return (*exposure.high - *exposure.low).value() / (2 * kNormal975);
  if (!exposure.low || reading.flags.contains(Flag::clipped_base)) return kBoundOnly;
  double variance = 0;
  for (const double part : reading.exposure.budget) variance += part * part;
  return std::min(kBoundOnly, std::sqrt(variance));
}

matching::MatchFrame as_match_frame(const FrameResult& frame) {
  const density::FrameMeasurement& measurement = frame.measurement;
  matching::MatchFrame match{.label = measurement.label,
                             .folder = measurement.file.parent_path().string(),
                             .blank = frame.state == density::FrameState::blank,
                             .picture = matching::sketch_of(measurement.apertures),
                             .date = measurement.metadata.original_date};
  if (const auto row = own_row(frame)) match.settings = row->used;
  if (frame.reading) {
    match.exposure = frame.reading->exposure.estimate.value;
    match.exposure_sigma = exposure_sigma(*frame.reading);
  }
  return match;
}

/// A row of the log made of each scan's own settings belongs to that scan.
void keep_own_rows(std::vector<matching::MatchFrame>& frames,
                   const std::vector<FrameResult>& results) {
  std::size_t row = 0;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const bool has_row = own_row(results[i]).has_value();
    if (!frames[i].fixed) {
      frames[i].fixed = true;
      if (has_row) frames[i].fixed_row = row;
    }
    if (has_row) ++row;
  }
}

void add_own_rows(Analysis& analysis) {
  matching::Matching& matching = *analysis.matching;
  std::vector<std::size_t> still_unmatched;
  for (std::size_t i : matching.unmatched_frames) {
    matching::FrameMatch& match = matching.frames[i];
    auto row = match.fixed ? std::nullopt : own_row(analysis.frames[i]);
    if (!row) {
      still_unmatched.push_back(i);
      continue;
    }
    match = {.row = analysis.log->rows.size(), .probability = 1};
    analysis.log->rows.push_back(*std::move(row));
  }
  const std::size_t added = matching.unmatched_frames.size() - still_unmatched.size();
  matching.unmatched_frames = std::move(still_unmatched);
  matching.rows_from_scans = added;
}

/// Frames that a match file's name means: by whole path, or else by file name.
std::vector<std::size_t> frames_named(const Analysis& analysis, const std::string& name) {
  std::string file = name;
  std::optional<int> index;
  if (const auto at = name.rfind('#');
      at != std::string::npos && at + 1 < name.size() &&
      name.find_first_not_of("0123456789", at + 1) == std::string::npos && name.size() - at < 6) {
    file = name.substr(0, at);
    index = std::stoi(name.substr(at + 1));
  }
  std::vector<std::size_t> by_path;
  std::vector<std::size_t> by_name;
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const density::FrameMeasurement& frame = analysis.frames[i].measurement;
    if (index && frame.index != *index) continue;
    if (frame.file == file) by_path.push_back(i);
    if (frame.file.filename() == file) by_name.push_back(i);
  }
  return by_path.empty() ? by_name : by_path;
}

std::optional<std::size_t> row_named(const log::ShotLog& log, const std::string& name) {
  for (std::size_t row = 0; row < log.rows.size(); ++row) {
    const std::string line = "line " + std::to_string(log.rows[row].line);
    if (name == matching::row_name(log, row) || name == line) return row;
  }
  return std::nullopt;
}

}  // namespace

std::optional<log::ShotLog> log_from_scans(const std::vector<FrameResult>& frames) {
  log::ShotLog log;
  for (const FrameResult& frame : frames) {
    if (auto row = own_row(frame)) log.rows.push_back(*std::move(row));
  }
  return log.rows.empty() ? std::nullopt : std::optional(std::move(log));
}

FixedRows fix_rows(const Analysis& analysis, const std::vector<matching::FixedPair>& pairs,
                   const std::filesystem::path& match_file) {
  FixedRows fixed;
  std::map<std::size_t, int> line_of_row;
  const auto fail = [&](const matching::FixedPair& pair, const std::string& what,
                        const std::string& next) {
    throw InputError(ErrorCode::malformed, match_file, fmt::format(fmt::runtime(what), pair.line),
                     next);
  };
  for (const matching::FixedPair& pair : pairs) {
    const std::vector<std::size_t> frames = frames_named(analysis, pair.file);
    if (frames.empty()) {
      fail(pair, "names a scan in line {} that is not on this roll",
           "correct the name, or delete the line");
    }
    if (frames.size() > 1) {
      fail(pair, "names several frames in line {}",
           "write the whole path, and #1 for the second frame on a scan");
    }
    std::optional<std::size_t> row;
    if (!pair.row.empty()) row = row_named(*analysis.log, pair.row);
    if (!pair.row.empty() && !row) {
      fail(pair, "names a frame in line {} that the log has no row for, or several",
           "write the frame as in the log, or \"line 12\" for the log's twelfth line");
    }
    if (!fixed.emplace(frames.front(), row).second) {
      fail(pair, "names the scan in line {} a second time", "delete one of the lines");
    }
    if (row && !line_of_row.emplace(*row, pair.line).second) {
      fail(pair, "gives the row in line {} to a second scan", "leave one of the two empty");
    }
  }
  return fixed;
}

void match_with_log(Analysis& analysis, const FixedRows& fixed) {
  std::vector<matching::MatchFrame> frames;
  for (const FrameResult& frame : analysis.frames) frames.push_back(as_match_frame(frame));
  for (const auto& [frame, row] : fixed) {
    frames[frame].fixed = true;
    frames[frame].fixed_row = row;
  }
  const bool log_is_of_scans = analysis.log->path.empty();
  if (log_is_of_scans) keep_own_rows(frames, analysis.frames);
  analysis.matching = matching::match_frames(frames, *analysis.log, analysis.film);
  if (!log_is_of_scans) add_own_rows(analysis);

  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const matching::FrameMatch& match = analysis.matching->frames[i];
    FrameResult& frame = analysis.frames[i];
    frame.log_row = match.row;
    if (match.doubtful) frame.flags.insert(Flag::match_doubtful);
    if (!match.row && frame.state == density::FrameState::measured)
      frame.flags.insert(Flag::no_log_row);
  }
}

}  // namespace basefog::roll
