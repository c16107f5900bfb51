// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/csv_columns.hpp"

#include <array>

namespace basefog::report {
namespace {

constexpr auto kFrames = std::to_array<CsvColumn>({
    {"frame", "", "name on the roll: label, else the file's name"},
    {"file", "", "the scan, as given"},
    {"index in file", "", "from 0, where a scan holds several frames"},
    {"state", "", "measured, blank, no_reference, positive, unreadable"},
    {"picture", "", "what the picture needed, in words"},
    {"verdict", "", "strongly_under, under, well_exposed, over, strongly_over"},
    {"verdict chance", "", "0 to 1, that the verdict is right"},
    {"needed", "stops", "change that would have kept most of the picture (correction)", true},
    {"got", "stops", "metered mean of what the film got, from the aim (exposure)", true},
    {"shadow reserve", "stops", "darkest 2 % above the speed point", true},
    {"highlight reach", "stops", "brightest 2 % above the speed point", true},
    {"highlight room", "stops", "from the brightest 2 % to the usable limit", true},
    {"deviation", "stops", "got less asked", true},
    {"red less green", "stops", "red layer's metered exposure less green's; of colour film", true},
    {"blue less green", "stops", "likewise", true},
    {"asked", "stops", "what the settings asked for, from the aim"},
    {"technique", "stops", "needed plus deviation"},
    {"scene", "EV at ISO 100",
     "the scene's luminance, by the settings logged and the exposure found", true},
    {"reference", "", "where the density zero was read: rebate, base_scan, roll, given"},
    {"base + fog gray or red", "density", "against the scan's full scale"},
    {"base + fog green", "density", "of three channels"},
    {"base + fog blue", "density", "of three channels"},
    {"log row", "", "the row's frame label, as written"},
    {"shutter", "s", "as marked"},
    {"f-number", "", "as marked"},
    {"EI", "ISO", "dialled"},
    {"compensation", "stops", "dialled"},
    {"mode", "", "manual, aperture_priority, shutter_priority, program"},
    {"scene", "", "as written"},
    {"note", "", "as written"},
    {"flags", "", "names of flags, parted by spaces; see basefog manual flags"},
    {"scan bytes", "", "size of the scan file"},
    {"scan crc32", "", "what tells it from another of its name; as crc32 in the JSON"},
    {"program", "", "that made this, with its version"},
});

constexpr auto kRolls = std::to_array<CsvColumn>({
    {"roll", "", "the folder's name"},
    {"report", "", "its report, relative to the index page"},
    {"problem", "",
     "why the roll could not be reviewed, and the rest is empty then; or why some of its frames or "
     "its log could not"},
    {"frames", "", "in all"},
    {"well exposed", "", "frames"},
    {"under", "", "frames, strongly ones included"},
    {"over", "", "frames, likewise"},
    {"unsure", "", "frames whose verdict is less likely than two in three"},
    {"blank", "", "frames without a picture"},
    {"not measured", "", "frames without a number"},
    {"median exposure", "stops", "from the aim"},
    {"meter bias", "stops", "empty without a log or with too few frames", true},
    {"worst frame", "", "whose picture needed the greatest change"},
    {"worst frame's picture", "", "what it needed, in words"},
    {"warnings", "", "how many different ones"},
    {"attention", "stops a frame",
     "stops beyond half a stop that pictures missed, an unmeasured frame counting as two; the "
     "table is sorted by it"},
});

}  // namespace

std::span<const CsvColumn> frames_columns() { return kFrames; }

std::span<const CsvColumn> rolls_columns() { return kRolls; }

std::vector<std::string> heads_of(const CsvColumn& column) {
  const std::string name(column.name);
  const std::string unit = column.unit.empty() ? "" : " (" + std::string(column.unit) + ")";
  if (!column.estimate) return {name + unit};
  return {name + unit, name + " low" + unit, name + " high" + unit};
}

}  // namespace basefog::report
