// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/roll_options.hpp"

#include <map>

#include "basefog/core/error.hpp"
#include "basefog/core/film_kind.hpp"
#include "basefog/ledger/ledger.hpp"
#include "basefog/log/camera.hpp"
#include "cli/film_commands.hpp"
#include "cli/input_files.hpp"
#include "cli/option_checks.hpp"
#include "cli/settings.hpp"
#include "cli/terminal.hpp"

namespace basefog::cli {
std::filesystem::path ledger_of(const RollArguments& arguments) {
  return arguments.ledger ? *arguments.ledger : ledger::default_ledger_path();
}

namespace {

const std::map<std::string, MeteringPattern> kPatterns = {
    {"average", MeteringPattern::average},
    {"centre-weighted", MeteringPattern::centre_weighted},
    {"spot", MeteringPattern::spot},
};

std::vector<memory::FilmLesson> lessons_in(const std::filesystem::path& ledger) {
  std::error_code error;
  if (!std::filesystem::exists(ledger, error)) return {};
  return ledger::Ledger(ledger, ledger::Ledger::Access::read).lessons();
}

/// Without HOME there is no ledger but one that is named.
std::vector<memory::FilmLesson> remembered_lessons(const RollArguments& arguments) {
  if (arguments.no_memory) return {};
  try {
    return lessons_in(ledger_of(arguments));
  } catch (const InputError& error) {
    if (error.code() != ErrorCode::usage) {
      say(std::string("nothing is remembered of the film: ") + error.what() + ".");
    }
    return {};
  }
}

/// What makes numbers come out as they do, for who wants to make them again.
std::vector<roll::StatedOption> stated(const RollArguments& a) {
  std::vector<roll::StatedOption> all;
  const auto add = [&all](const char* name, const std::string& value) {
    if (!value.empty()) all.push_back({name, value});
  };
  add("film", a.film);
  if (a.film_speed) add("film-speed", as_marked(FilmSpeed(*a.film_speed)));
  add("film-name", a.film_name);
  add("developed", a.developed);
  add("response", a.response);
  add("base", a.base);
  add("layout", a.layout);
  for (const auto& [name, pattern] : kPatterns) {
    if (pattern == a.metering) add("metering", name);
  }
  if (a.no_memory) add("no-memory", "yes");
  return all;
}

std::vector<roll::InputFile> read_from(const RollArguments& a) {
  std::vector<roll::InputFile> files;
  const auto add = [&files](const char* role, const std::filesystem::path& file) {
    if (const auto sum = density::sum_of_file(file)) files.push_back({role, file, sum});
  };
  add("camera", a.camera.value_or(""));
  if (!film_kind_of(a.film)) add("film", a.film);
  add("response", a.response);
  return files;
}

}  // namespace

CLI::Option* add_cache_option(CLI::App& command, bool& no_cache) {
  return command.add_flag("--no-cache", no_cache,
                          "Read every scan anew, and keep nothing of it for the next run");
}

CLI::Option* add_roll_options(CLI::App& command, RollArguments& a) {
  CLI::Option* scans =
      command.add_option("scans", a.scans, "The scans of a roll, as files or as a folder")
          ->required()
          ->type_name("FILE|FOLDER");
  command.add_option("--log", a.log, "The roll's log of settings (CSV); - for standard input")
      ->type_name("FILE")
      ->group("Log");
  command.add_option("--match", a.match, "Frames and rows that belong together (CSV: file,frame)")
      ->type_name("FILE")
      ->group("Log");
  command.add_option("--film", a.film, "The film's kind, or a film profile")
      ->type_name(film_kind_words("|") + "|FILE")
      ->group("Film and scanner");
  command.add_option("--film-name", a.film_name, "What the film is called, to be remembered by")
      ->type_name("NAME")
      ->group("Film and scanner");
  command
      .add_option("--developed", a.developed, "How it was developed: \"9 min at 20 C\", \"lab\"")
      ->type_name("TEXT")
      ->group("Film and scanner");
  command.add_option("--film-speed", a.film_speed, "The film's own ISO speed")
      ->check(film_speed())
      ->type_name("N")
      ->group("Film and scanner");
  command.add_option("--response", a.response, "How codes stand for light, or a response file")
      ->type_name("linear|srgb|gamma=N|FILE")
      ->group("Film and scanner");
  command.add_option("--light", a.light, "A shot of the bare light source, same exposure")
      ->type_name("FILE")
      ->group("Film and scanner");
  command.add_option("--base-scan", a.base_scan, "A scan of clear film alone, same exposure")
      ->type_name("FILE")
      ->group("Film and scanner");
  command
      .add_option("--base", a.base,
                  "The density zero, over all that is found: codes, or light 0 to 1")
      ->type_name("R,G,B|N")
      ->group("Film and scanner");
  command.add_option("--layout", a.layout, "How the film lies on the scans (see basefog read)")
      ->type_name("WORDS")
      ->group("Film and scanner");
  command.add_option("--camera", a.camera, "Camera file: marks, lenses, how it meters")
      ->type_name("FILE")
      ->group("Camera and meter");
  command.add_option("--metering", a.metering, "How the camera's meter weighs the frame")
      ->transform(CLI::CheckedTransformer(kPatterns))
      ->type_name("average|centre-weighted|spot")
      ->group("Camera and meter");
  command.add_option("--aim-k", a.aim_k, "Meter constant K of the aim, in cd/m2")
      ->check(positive_number())
      ->type_name("N")
      ->capture_default_str()
      ->group("Camera and meter");
  command.add_option("--aim-q", a.aim_q, "Lens factor q of the aim")
      ->check(positive_number())
      ->type_name("N")
      ->capture_default_str()
      ->group("Camera and meter");
  command
      .add_flag("--quiet", a.quiet, "No progress and no table: only files asked for, and errors")
      ->group("Terminal");
  command.add_flag("--verbose", a.verbose, "Say more: of each scan as it is read, of each frame")
      ->excludes("--quiet")
      ->group("Terminal");
  command.add_option("--threads", a.threads, "Scans read at once; 0 for one a core")
      ->check(CLI::Range(0, 256))
      ->type_name("N")
      ->capture_default_str()
      ->group("Terminal");
  add_cache_option(command, a.no_cache)->group("Film and scanner");
  return scans;
}

roll::ReviewOptions as_review_options(const RollArguments& arguments) {
  roll::ReviewOptions options;
  options.measure.read.apart = readers_of_scans();
  if (!arguments.response.empty())
    options.measure.read.response = response::parse_response(arguments.response);
  options.measure.read.light = arguments.light;
  options.base_scan = arguments.base_scan;
  if (!arguments.base.empty()) options.base = density::parse_base(arguments.base);
  if (!arguments.layout.empty()) options.measure.layout = area::parse_layout(arguments.layout);
  options.log = arguments.log;
  options.match = arguments.match;
  if (arguments.camera) options.camera = log::read_camera(*arguments.camera);
  if (!arguments.film.empty()) options.film = named_film(arguments.film);
  if (arguments.film_speed) options.film_speed = FilmSpeed(*arguments.film_speed);
  options.lessons = remembered_lessons(arguments);
  options.film_use = {.film = arguments.film_name, .developed = arguments.developed};
  options.aim_k = arguments.aim_k;
  options.aim_q = arguments.aim_q;
  options.reading.pattern = arguments.metering;
  options.threads = arguments.threads;
  options.stated = stated(arguments);
  options.read_from = read_from(arguments);
  options.measure.store = kept_scans(arguments.no_cache, inputs_of(arguments));
  return options;
}

std::shared_ptr<density::ScanStore> kept_scans(bool no_cache, const Inputs& inputs) {
  const std::filesystem::path folder = cache_folder();
  if (no_cache || folder.empty()) return nullptr;
  try {
    check_not_an_input(folder / "scans" / "entry", inputs);
  } catch (const InputError&) {
    return nullptr;
  }
  return std::make_shared<density::ScanStore>(folder / "scans");
}

Inputs inputs_of(const RollArguments& arguments) {
  Inputs inputs{.scans = arguments.scans};
  for (const auto& scan : {arguments.light, arguments.base_scan}) {
    if (scan) inputs.scans.push_back(*scan);
  }
  for (const auto& file : {arguments.log, arguments.match, arguments.camera}) {
    if (file) inputs.files.push_back(*file);
  }
  check_inputs_exist(inputs.scans);
  check_inputs_exist(inputs.files);
  // Either may be a word, such as "bw".
  for (const std::string& file : {arguments.film, arguments.response}) {
    if (!file.empty()) inputs.files.emplace_back(file);
  }
  return inputs;
}

}  // namespace basefog::cli
