// SPDX-License-Identifier: GPL-3.0-or-later
// Readers of small files and of scans.
#include <cmath>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "basefog/core/error.hpp"
#include "basefog/density/scan_record.hpp"
#include "basefog/film/film_profile.hpp"
#include "basefog/film/film_test.hpp"
#include "basefog/ledger/ledger.hpp"
#include "basefog/log/camera.hpp"
#include "basefog/matching/matching.hpp"
#include "basefog/meter/bias_history.hpp"
#include "basefog/response/response.hpp"
#include "basefog/roll/analysis.hpp"
#include "basefog/scan/scan.hpp"
#include "basefog/tablet/scanner_calibration.hpp"
#include "fuzz/file_in_memory.hpp"
#include "fuzz/fuzz_targets.hpp"
#include "test_folder.hpp"

namespace basefog::test {
namespace {

void require_sense(const scan::Scan& scan) {
  const decode::BlockImage& blocks = scan.blocks;
  require(blocks.width > 0 && blocks.height > 0 && blocks.block_side > 0);
  require(blocks.channels == 1 || blocks.channels == 3);
  const std::size_t count = blocks.index(blocks.channels, 0, 0);
  require(blocks.mean.size() == count && blocks.variance.size() == count);
  for (std::size_t i = 0; i < count; ++i) {
    require(std::isfinite(blocks.mean[i]) && blocks.mean[i] >= 0);
    require(std::isfinite(blocks.variance[i]) && blocks.variance[i] >= 0);
  }
}

}  // namespace

void fuzz_camera(std::string_view bytes) {
  try {
    log::parse_camera(bytes, "fuzzed.toml");
  } catch (const InputError&) {
    // Refused with a reason.
  }
}

void fuzz_film_profile(std::string_view bytes) {
  read_as_file(bytes, [](const std::filesystem::path& path) {
    const film::FilmProfile film = film::read_film_profile(path);
    require(std::isfinite(film.iso_speed.iso()) && film.iso_speed.iso() > 0);
    for (const film::FilmLayer& layer : film.layers) {
      require(std::isfinite(layer.curve.density(Stops(2)).value()));
      require(std::isfinite(layer.curve.average_gradient()));
    }
  });
}

void fuzz_response(std::string_view bytes) {
  read_as_file(bytes, [](const std::filesystem::path& path) {
    const response::Response response = response::parse_response(path.string());
    for (const double code : {0.0, 0.25, 1.0}) require(response.light(code, 0) >= 0);
  });
}

void fuzz_step_densities(std::string_view bytes) {
  read_as_file(bytes, tablet::read_step_densities);
}

void fuzz_patch_codes(std::string_view bytes) {
  read_as_file(bytes,
               [](const std::filesystem::path& path) { tablet::read_patch_codes(path, 65535); });
  read_as_file(bytes, tablet::read_patch_regions);
}

void fuzz_densitometer_table(std::string_view bytes) {
  for (const FilmKind kind : {FilmKind::black_and_white, FilmKind::colour_negative}) {
    read_as_file(bytes, [&](const std::filesystem::path& path) {
      film::compare_developments(film::read_densitometer_table(path, kind, false), kind);
    });
  }
}

void fuzz_match_file(std::string_view bytes) { read_as_file(bytes, matching::read_match_file); }

void fuzz_scan(std::string_view bytes) {
  // What only claims to be large must not cost the fuzzer its time.
  const scan::ReadOptions options{.most_blocks = 1'000, .most_pixels = 100'000};
  read_as_file(bytes, [&](const std::filesystem::path& path) {
    require_sense(scan::read_scan(path, options));
  });
}

void fuzz_scan_record(std::string_view bytes) {
  read_as_file(bytes, [](const std::filesystem::path& path) {
    const density::ScanRecord record = density::read_scan_record(path);
    // What was read is written and read again as it is.
    require(!density::scan_record_text(record).empty());
    roll::review_records({record}, {});
  });
}

void fuzz_ledger(std::string_view bytes) {
  // A file of its own with files beside it, which SQLite needs.
  static const std::filesystem::path path = test_folder() / "fuzzed.db";
  for (const char* part : {"-wal", "-shm"}) std::filesystem::remove(path.string() + part);
  std::ofstream(path, std::ios::binary | std::ios::trunc) << bytes;
  try {
    const std::vector<meter::RememberedRoll> rolls =
        ledger::Ledger(path, ledger::Ledger::Access::read).rolls();
    if (!rolls.empty()) meter::fit_bias_history(rolls);
  } catch (const InputError&) {
    // Refused with a reason.
  }
}

}  // namespace basefog::test
