// SPDX-License-Identifier: GPL-3.0-or-later
// Makes samples/roll: an invented roll, photographed in published panoramas. Usage:
//   make_sample_roll PANORAMA_FOLDER OUTPUT_FOLDER
// The same scans on every run. samples/roll/README.md tells the story.
#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <nlohmann/json.hpp>
#include <stdexcept>
#include <vector>

#include "simulator/blemishes.hpp"
#include "simulator/camera.hpp"
#include "simulator/film.hpp"
#include "simulator/image_files.hpp"
#include "simulator/layout.hpp"
#include "simulator/noise.hpp"
#include "simulator/scan_file.hpp"
#include "simulator/scanner.hpp"
#include "simulator/truth.hpp"

namespace {

using namespace simulator;  // NOLINT: every name here is the simulator's
using Json = nlohmann::ordered_json;

constexpr std::uint64_t kSeed = 20031;
constexpr double kMeterBias = -2.0 / 3;  // the meter reads high: everything gets too little light
const cv::Size kFrame(720, 480);

/// One press of the shutter, and the row that was written about it.
struct Picture {
  std::string panorama;
  double ev = 12;  ///< of the view at ISO 100, from the kind of scene [PH2.7]
  View view;
  Wish wish;
  std::string scene;
  std::string notes;
  /// How the row was written: 0 as engraved, 1 short ("250", "f/8"), 2 with units ("1/250 s",
  /// "f8").
  int hand = 0;
  std::string iso = "400";
  bool written = true;
};

Wish manual(const std::string& aperture, double compensation = 0) {
  return {Mode::manual, aperture, {}, compensation, 0};
}
Wish at_shutter(const std::string& shutter, double compensation = 0) {
  return {Mode::manual, "4", shutter, compensation, 0};
}
Wish automatic(const std::string& aperture, double compensation = 0) {
  return {Mode::aperture_priority, aperture, {}, compensation, 0};
}

View toward(double yaw, double pitch) { return {yaw, pitch, 0, 74, 0.8}; }

std::vector<Picture> pictures() {
  return {
      {"city", 13.5, toward(-112, -2), manual("8"), "street", "hazy sun, first frame of the roll"},
      {"city", 14.5, toward(30, 8), manual("11", 1), "backlit",
       "building site against the light, +1", 1},
      {"courtyard", 12, toward(50, -15), automatic("5.6"), "shade", "kitchen door"},
      {"courtyard", 13.5, toward(-12, -2), automatic("8", 2), "backlit",
       "from under the roof, looking out", 0, ""},
      {"forest", 12, toward(-105, 0), automatic("8", 2), "shade", "dial still on +2, sorry"},
      {"sunrise", 13, toward(-120, -3), manual("8"), "mist", "field, early", 1},
      {"interior", 6, toward(-75, -12), at_shutter("1/15"), "interior",
       "desk, elbows on the table"},
      {"interior", 5, toward(100, -15), at_shutter("1/15"), "interior", "bed; \"one more\" of it?",
       2},
      {"interior", 7, toward(0, -15), at_shutter("1/30"), "interior", "", 0, "400", false},
      {"studio", 9, toward(140, -38), at_shutter("1/60"), "high key",
       "stool on white ground, as bright as snow", 0, "ISO 400"},
      {"studio", 9, toward(-86, -34), manual("5.6", 1), "high key", "white ground, +1 this time",
       1},
      {"sunset", 7, toward(-118, 2), at_shutter("1/15"), "dusk", "leaning on a post"},
      {"night", 4, toward(15, 12), at_shutter("1/15"), "night", "glow over the trees, held breath",
       2},
  };
}

Camera old_camera() {
  Camera camera;
  camera.meter.bias_stops = kMeterBias;
  camera.lens = {0.5, 0.012};
  camera.shutter_mark("1/15").error_stops = 0.7;  // sticks
  camera.shutter_mark("1/30").error_stops = 0.08;
  camera.shutter_mark("1/125").error_stops = -0.04;
  camera.shutter_mark("1/250").error_stops = 0.06;
  camera.shutter_mark("1/500").error_stops = -0.08;
  camera.shutter_mark("1/1000").error_stops = -0.12;
  camera.aperture_mark("2").error_stops = -0.06;
  camera.aperture_mark("11").error_stops = 0.05;
  return camera;
}

Scanner film_scanner() {
  Scanner scanner;
  scanner.gain = {1.5};
  return scanner;
}

std::string number(double v) {
  std::string text = std::to_string(v);
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text;
}

std::string quoted(const std::string& text) {
  if (text.find_first_of(",\"") == std::string::npos) return text;
  std::string result = "\"";
  for (const char c : text) {
    result += c;
    if (c == '"') result += c;
  }
  return result + '"';
}

/// The row in the photographer's log.
std::string log_row(int frame, const Picture& picture, const Shot& shot) {
  std::string shutter = shot.logged_shutter;
  std::string aperture = shot.logged_aperture;
  if (picture.hand == 1) {
    shutter = shutter.substr(shutter.find('/') + 1);
    aperture = "f/" + aperture;
  } else if (picture.hand == 2) {
    shutter += " s";
    aperture = "f" + aperture;
  }
  std::string mode = shot.mode == Mode::manual ? "M" : "A";
  if (picture.hand == 1 && shot.mode == Mode::manual) mode = "manual";
  std::string compensation;
  if (shot.compensation != 0) compensation = "+" + number(shot.compensation);
  return std::to_string(frame) + ',' + shutter + ',' + aperture + ',' + picture.iso + ',' + mode +
         ',' + compensation + ',' + quoted(picture.scene) + ',' + quoted(picture.notes) + '\n';
}

std::string scan_name(int frame) {
  return "roll03_" + std::string(frame < 10 ? "0" : "") + std::to_string(frame) + ".tif";
}

/// Seats a frame as a hand does, a little off and a little turned, and scans it.
ScanImage scan_frame(int frame, const cv::Mat& exposure, const Film& film) {
  const Noise hand = Noise(kSeed).fork(1000 + static_cast<std::uint64_t>(frame));
  Seat seat;
  seat.angle_degrees = (hand.uniform(1) - 0.5) * 2.2;
  // Some scans have the whole holder askew, others the film in the holder.
  seat.holder_angle = frame % 3 == 1 ? seat.angle_degrees : 0;
  seat.off = {(hand.uniform(2) - 0.5) * 0.5, (hand.uniform(3) - 0.5) * 0.2};
  const Scanner scanner = film_scanner();
  Negative negative =
      lay_out(one_frame(exposure, film_format("24x36"), seat, std::to_string(frame)), film,
              scanner.pixel_mm);
  const std::uint64_t seed = kSeed + static_cast<std::uint64_t>(frame);
  add_dust(negative, 2.5, seed);
  add_scratches(negative, 2, seed, seat.angle_degrees);
  return scan(negative, film, scanner, seed);
}

Json roll_record(const Camera& camera, const Film& film) {
  Json roll;
  roll["film"] = {{"kind", "black_and_white"},
                  {"iso", film.iso},
                  {"rise_over_1_30", film.rise()},
                  {"speed_error_stops", film.speed_error_stops},
                  {"highlight_limit_stops_above_speed_point",
                   (film.highlight_limit() - film.speed_point()) / 0.30102999566398120},
                  {"base_density", film.base[0]},
                  {"granularity", film.granularity}};
  roll["meter"] = {{"bias_stops", camera.meter.bias_stops},
                   {"pattern", "centre_weighted"},
                   {"exposure_index", camera.exposure_index}};
  for (const Mark& mark : camera.shutter)
    roll["shutter_error_stops"][mark.engraved] = mark.error_stops;
  for (const Mark& mark : camera.aperture) {
    roll["aperture_error_stops"]["f/" + mark.engraved] = mark.error_stops;
  }
  return roll;
}

Json frame_record(int frame, const ScanImage& image) {
  Json json;
  json["file"] = scan_name(frame);
  json["index"] = frame;
  json["corners"] = record(image.frames[0]);
  json["scan_base_density"] = std::round(-std::log10(image.base_light[0]) * 1e4) / 1e4;
  return json;
}

void write_text(const std::filesystem::path& path, const std::string& text) {
  std::ofstream file(path, std::ios::binary);
  file << text;
  if (!file.flush()) throw std::runtime_error("cannot write " + path.string());
}

void make_roll(const std::filesystem::path& panoramas, const std::filesystem::path& out) {
  const Camera camera = old_camera();
  const Film film = black_and_white_film();
  std::filesystem::create_directories(out);
  Json truth = {{"schema", "simulator.truth/1"}, {"roll", roll_record(camera, film)}};
  std::string log = "frame,shutter,aperture,iso,mode,compensation,scene,notes\n";

  // Frame 0: wound on after loading, nothing on it.
  const ScanImage lead_in = scan_frame(0, cv::Mat(), film);
  write_tiff(out / scan_name(0), lead_in);
  Json blank = frame_record(0, lead_in);
  blank["state"] = "blank";
  truth["frames"].push_back(blank);

  int frame = 0;
  for (Picture picture : pictures()) {
    ++frame;
    // A needle is read to about a tenth of a stop.
    picture.wish.scatter_stops = 0.1 * Noise(kSeed).normal(static_cast<std::uint64_t>(frame));
    const Panorama scene =
        lit(read_panorama(panoramas / (picture.panorama + ".exr")), picture.view, picture.ev);
    const Shot shot = take(scene, picture.view, kFrame, camera, picture.wish);
    const ScanImage image = scan_frame(frame, shot.exposure, film);
    write_tiff(out / scan_name(frame), image);

    Json json = frame_record(frame, image);
    json["state"] = "measured";
    json["log_row"] = picture.written ? Json(std::to_string(frame)) : Json();
    json["scene"] = picture.scene;
    json["panorama"] = picture.panorama;
    json.update(record(shot, truth_of(shot, film, camera.meter)));
    truth["frames"].push_back(json);
    if (picture.written) log += log_row(frame, picture, shot);
  }
  write_text(out / "log.csv", log);
  write_text(out / "truth.json", truth.dump(2) + '\n');
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 3) {
    std::cerr << "usage: make_sample_roll PANORAMA_FOLDER OUTPUT_FOLDER\n";
    return 2;
  }
  try {
    make_roll(argv[1], argv[2]);
  } catch (const std::exception& error) {
    std::cerr << "make_sample_roll: " << error.what() << '\n';
    return 1;
  }
  return 0;
}
