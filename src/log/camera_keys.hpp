// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>

#include "core/file_keys.hpp"

namespace basefog::log {

/// All keys of a camera file.
inline constexpr auto kCameraKeys = std::to_array<FileKey>({
    {"", "name", "\"the black one\"", "the file's name", "What the camera is called"},
    {"", "shutter", "\"half\"", "\"full\"",
     "Marked times: \"full\", \"half\" or \"third\" steps, or a list [\"1\", \"1/2\", ..., \"B\"]"},
    {"", "shutter_longest", "\"1 s\"", "\"1 s\"", "Longest time of the steps"},
    {"", "shutter_shortest", "\"1/1000\"", "\"1/1000\"", "Shortest time of the steps"},
    {"", "bulb", "true", "true; of a list of times, whether \"B\" is among them",
     "Whether the shutter can be held open"},
    {"", "stops", "\"full\"", "\"full\"",
     "Marked stops of lenses that say nothing: steps as of the shutter, or a list [1.4, 2, 2.8]"},
    {"", "widest", "1.4", "1.4", "Widest stop of the steps"},
    {"", "narrowest", "22", "22", "Narrowest stop of the steps"},
    {"", "film_speeds", "[25, 50, 100]", "6 to 12800 in third stops",
     "Marks of the film speed dial"},
    {"", "compensation_most", "2", "2", "Compensation that can be dialled to either side, stops"},
    {"", "compensation_steps", "\"third\"", "\"third\"",
     "Its steps: \"full\", \"half\", \"third\""},
    {"", "hand_hold_limit", "\"1/30\"", "1/f s for a focal length of f mm, else 1/60",
     "Longest time that you hold by hand"},
    {"meter", "kind", "\"through_lens\"", "\"through_lens\"",
     "none, through_lens, beside_lens, hand_held_reflected or hand_held_incident"},
    {"meter", "pattern", "\"centre_weighted\"", "\"unknown\"",
     "average, centre_weighted, spot or unknown; --metering and a log's own row come first"},
    {"battery", "kind", "\"silver oxide\"", "",
     "mercury, silver oxide, alkaline, lithium, zinc air, none or other"},
    {"battery", "fitted", "2026-03-01", "", "The day on which it was put in"},
    {"lens", "name", "\"normal\"", "from the focal length", "As the log calls it"},
    {"lens", "focal_length", "50", "", "In mm; [28, 80] of a zoom lens. Must be there"},
    {"lens", "stops", "\"half\"", "\"full\"", "Marked stops, as above"},
    {"lens", "widest", "1.8", "the camera's", "Widest stop"},
    {"lens", "narrowest", "16", "the camera's", "Narrowest stop"},
});

}  // namespace basefog::log
