// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "basefog/core/metering_pattern.hpp"
#include "basefog/core/settings.hpp"
#include "basefog/log/log.hpp"

namespace basefog::log {

/// Where the light is measured.
enum class MeterKind {
  none,                 ///< exposures are guessed, or by a table
  through_lens,         ///< sees what the film sees, filters included
  beside_lens,          ///< in the camera, with an eye of its own
  hand_held_reflected,  ///< a meter apart from the camera, pointed at the subject
  hand_held_incident,   ///< held at the subject, pointed at the camera
};
std::string_view name_of(MeterKind kind);  ///< as in camera files

/// Which marks stand on a dial or ring.
enum class MarkSteps {
  full,   ///< whole stops alone
  half,   ///< halves between
  third,  ///< thirds between
};

/// One lens and what it can be set to.
struct CameraLens {
  std::string name;            ///< by which a log names it
  double shortest_mm = 0;      ///< focal length; both are the same but for a zoom
  double longest_mm = 0;       ///< not below shortest_mm
  std::vector<FNumber> stops;  ///< marked, widest first

  bool is_zoom() const { return shortest_mm < longest_mm; }  ///< its focal length can be changed
};

/// What a camera can be set to and how it meters: what its file says.
struct Camera {
  std::string name;                           ///< by which the ledger keeps its rolls
  std::vector<ShutterTime> shutter;           ///< marked, longest first
  bool bulb = true;                           ///< may be held open by hand
  std::vector<FNumber> stops;                 ///< marked where no lens says otherwise, widest first
  std::vector<FilmSpeed> film_speeds;         ///< on the film speed dial, slowest first
  std::optional<Stops> compensation_most;     ///< on the compensation dial, to either side
  Stops compensation_step{1.0 / 3};           ///< of that dial
  std::vector<CameraLens> lenses;             ///< empty: not known
  MeterKind meter = MeterKind::through_lens;  ///< says whether it sees through filters
  MeteringPattern pattern = MeteringPattern::unknown;  ///< how it weighs the frame
  std::string battery;         ///< "mercury", "silver oxide", "alkaline", "lithium", "zinc air"
  std::string battery_fitted;  ///< ISO 8601 date
  /// Longest time that this photographer holds still; absent: the rule of hand_hold_limit().
  std::optional<ShutterTime> steady;
};

/// Marked times from 30 s to 1/8000 s, longest first [APEX]; half and third stops as cameras show
/// them (common practice).
std::vector<ShutterTime> standard_times(MarkSteps steps, ShutterTime longest = ShutterTime(30),
                                        ShutterTime shortest = ShutterTime(1.0 / 8000));
/// Marked f-numbers from f/1 to f/64, widest first [Kamerarkasi].
std::vector<FNumber> standard_stops(MarkSteps steps, FNumber widest = FNumber(1),
                                    FNumber narrowest = FNumber(64));
/// The steps between marks, known from those that only one series has: 1/45 or f/6.7 by halves,
/// 1/50 or f/6.3 by thirds. Nothing where none, or some of either, are there.
std::optional<MarkSteps> steps_of(const std::vector<ShutterTime>& times);
std::optional<MarkSteps> steps_of(const std::vector<FNumber>& stops);  ///< likewise

/// What a mark stands for on a dial with these steps. 1/10, 1/20, 1/6, 6 s, 10 s, 20 s and f/13 are
/// engraved by halves and by thirds alike, a sixth of a stop apart; elsewhere as exact(mark).
ShutterTime exact(ShutterTime marked, MarkSteps steps);
FNumber exact(FNumber marked, MarkSteps steps);  ///< likewise

/// Gives the log's marks of half-stop dials their exact values (1/10 -> 1/11.3). Whether a dial has
/// half stops is seen from the camera's marks, and where no camera is given by the log's own
/// (steps_of); where neither decides, marks stand for the nearest third.
void settle_marks(ShotLog& log, const Camera* camera = nullptr);

/// Marked film speeds from 6 to 12800 in third stops, slowest first [FilmSpeedTable].
std::vector<FilmSpeed> standard_film_speeds();

/// A camera of which nothing is known: times from 1 s to 1/1000 s and f/1.4 to f/22 in full stops,
/// film speeds in thirds, compensation to 2 stops, a meter behind the lens of unknown pattern.
Camera default_camera();

/// Reads a camera file (TOML; its keys are in src/log/camera_keys.hpp). Keys that are not
/// given are as in default_camera(). Throws InputError: not_found, unreadable, malformed (not TOML,
/// a key that does not exist, a value that makes no sense), naming the key and its line.
Camera read_camera(const std::filesystem::path& path);
/// The same for a text that was read already; path serves messages only.
Camera parse_camera(std::string_view text, const std::filesystem::path& path);

/// The lens of a log's row: by name, then by focal length. Null where none or several fit.
const CameraLens* lens_of(const Camera& camera, const LogRow& row);

/// All stops that some lens of the camera has, widest first; the camera's where it has no lenses.
std::vector<FNumber> all_stops(const Camera& camera);

/// Longest time to hold by hand: the photographer's own limit, else 1/f s for a focal length of f
/// mm on the 35 mm format, else 1/60 s (common practice). Never a check of exposure.
ShutterTime hand_hold_limit(const Camera& camera, std::optional<double> focal_length_mm);

/// Holds a log against the camera it was kept for: adds a remark where a row names a time or stop
/// that camera or lens do not have (a time a quarter stop from any mark that was set by hand, or
/// beyond the shutter's range; a stop beyond the lens's), settles the marks, and by the camera's
/// meter whether it saw through filters, unless the log itself names another meter.
void check_against_camera(ShotLog& log, const Camera& camera);

}  // namespace basefog::log
