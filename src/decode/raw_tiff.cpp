// SPDX-License-Identifier: GPL-3.0-or-later
#include "decode/raw_tiff.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "basefog/core/error.hpp"
#include "decode/raw_decoder.hpp"
#include "decode/sensor_cells.hpp"
#include "decode/tiff_decoder.hpp"
#include "decode/tiff_rows.hpp"

namespace basefog::decode {
namespace {

constexpr const char* kExportLinear = "save it as a linear 16-bit TIFF, or as a DNG without tiles";

bool is_integer(const TiffPage& page) {
  return page.sample_format == SAMPLEFORMAT_UINT || page.sample_format == SAMPLEFORMAT_VOID;
}

/// Compressions of sensor values that libtiff decodes; it knows no lossless JPEG.
bool libtiff_decodes(const TiffPage& page) {
  return page.compression == COMPRESSION_NONE || page.compression == COMPRESSION_LZW ||
         page.compression == COMPRESSION_ADOBE_DEFLATE || page.compression == COMPRESSION_DEFLATE;
}

bool goes_through_libtiff(const TiffFile& file, const TiffPage& page) {
  if (!libtiff_decodes(page)) return false;
  if (page.photometric == kLinearRaw) return true;
  const bool tiled = TIFFIsTiled(file.handle()) != 0;
  return tiled || page.compression != COMPRESSION_NONE || !is_integer(page);
}

/// The values of a tag that has a count. Empty if absent.
template <class Value>
std::vector<Value> values(const TiffFile& file, std::uint32_t tag) {
  std::uint16_t count = 0;
  const Value* first = nullptr;
  if (TIFFGetField(file.handle(), tag, &count, &first) != 1 || first == nullptr) return {};
  return {first, first + count};
}

/// Black levels as DNG keeps them: a small pattern of rows and columns, samples innermost.
struct BlackPattern {
  int rows = 1;
  int columns = 1;
  int samples = 1;
  std::vector<double> levels;

  double at(int row, int column, int sample) const {
    const int place = (row % rows * columns + column % columns) * samples + sample;
    return levels.empty() ? 0 : levels[std::min<std::size_t>(place, levels.size() - 1)];
  }
  bool one_a_sample() const {
    for (int place = 0; place < rows * columns; ++place) {
      for (int s = 0; s < samples; ++s) {
        if (at(place / columns, place % columns, s) != at(0, 0, s)) return false;
      }
    }
    return true;
  }
};

BlackPattern black_pattern(const TiffFile& file, const TiffPage& page) {
  BlackPattern black;
  std::uint16_t* repeat = nullptr;
  if (TIFFGetField(file.handle(), TIFFTAG_BLACKLEVELREPEATDIM, &repeat) == 1 && repeat[0] > 0 &&
      repeat[1] > 0) {
    black.rows = repeat[0];
    black.columns = repeat[1];
  }
  black.samples = page.samples;
  const std::vector<float> levels = values<float>(file, TIFFTAG_BLACKLEVEL);
  black.levels.assign(levels.begin(), levels.end());
  return black;
}

double white_level(const TiffFile& file, const TiffPage& page, int sample) {
  const std::vector<std::uint32_t> levels = values<std::uint32_t>(file, TIFFTAG_WHITELEVEL);
  if (levels.empty()) return is_integer(page) ? std::exp2(page.bits) - 1 : 1;
  return levels[std::min<std::size_t>(sample, levels.size() - 1)];
}

/// What basefog does not take of a DNG that LibRaw cannot be trusted with.
void refuse_unusual(const TiffFile& file, const TiffPage& page) {
  const auto refuse = [&](const char* problem) {
    throw InputError(ErrorCode::unsupported, file.path(), problem, kExportLinear);
  };
  std::uint32_t* area = nullptr;  // top, left, bottom, right
  if (TIFFGetField(file.handle(), TIFFTAG_ACTIVEAREA, &area) == 1 &&
      (area[0] != 0 || area[1] != 0 || area[2] != page.height || area[3] != page.width))
    refuse("is a DNG whose sensor has masked edges, in tiles or a compression that cannot be read");
  for (const std::uint32_t tag : {TIFFTAG_BLACKLEVELDELTAH, TIFFTAG_BLACKLEVELDELTAV}) {
    const std::vector<float> deltas = values<float>(file, tag);
    if (std::any_of(deltas.begin(), deltas.end(), [](float d) { return d != 0; }))
      refuse("is a DNG with a black level of its own for each row or column");
  }
}

/// A mosaic of sensor values in a TIFF layout that LibRaw cannot be trusted with.
class MosaicDecoder final : public Decoder {
 public:
  MosaicDecoder(TiffFile file, const TiffPage& page, int orientation);

  const Picture& picture() const override { return picture_; }
  void decode(BlockAccumulator& rows) override;
  std::string damage() const override { return file_.error(); }

 private:
  TiffFile file_;
  TiffPage page_;
  Picture picture_;
  SensorLayout layout_;
  std::vector<std::uint16_t> linearization_;
};

MosaicDecoder::MosaicDecoder(TiffFile file, const TiffPage& page, int orientation)
    : file_(std::move(file)), page_(page) {
  refuse_too_many_pixels(file_.path(), page.width, page.height);
  std::uint16_t* repeat = nullptr;
  std::uint16_t count = 0;
  std::uint8_t* pattern = nullptr;
  const bool known = TIFFGetField(file_.handle(), TIFFTAG_CFAREPEATPATTERNDIM, &repeat) == 1 &&
                     repeat[0] == 2 && repeat[1] == 2 &&
                     TIFFGetField(file_.handle(), TIFFTAG_CFAPATTERN, &count, &pattern) == 1 &&
                     count == 4 && *std::max_element(pattern, pattern + 4) <= 2;
  if (!known || page.bits != 16 || page.samples != 1 || !is_integer(page))
    throw InputError(ErrorCode::unsupported, file_.path(),
                     "is a DNG with an unusual sensor pattern or packing", kExportLinear);
  const std::array<std::uint8_t, 4> colours = {pattern[0], pattern[1], pattern[2], pattern[3]};
  layout_.width = static_cast<int>(page.width);
  layout_.height = static_cast<int>(page.height);
  layout_.channel = [colours](int row, int column) { return colours[row % 2 * 2 + column % 2]; };
  layout_.black = [black = black_pattern(file_, page)](int row, int column) {
    return black.at(row, column, 0);
  };
  layout_.period = 2 * black_pattern(file_, page).rows;
  layout_.white = white_level(file_, page, 0);
  linearization_ = values<std::uint16_t>(file_, TIFFTAG_LINEARIZATIONTABLE);

  picture_.format = "DNG";
  picture_.width = SensorCells::cells(layout_.width, layout_);
  picture_.height = SensorCells::cells(layout_.height, layout_);
  picture_.channels = 3;
  picture_.orientation = orientation;
  picture_.kind = SampleKind::f32;
  picture_.white.fill(1);
  picture_.code_steps = layout_.white - layout_.black(0, 0);
  picture_.declared = response::sensor_response();
  if (picture_.width == 0 || picture_.height == 0 || picture_.code_steps <= 0)
    throw InputError(ErrorCode::unreadable, file_.path(), "has no usable picture in it",
                     kExportLinear);
}

void MosaicDecoder::decode(BlockAccumulator& rows) {
  TiffRows bands(file_, page_, 1);
  SensorCells cells(layout_, rows);
  std::vector<std::uint16_t> codes(page_.width);
  while (bands.next()) {
    for (int row = 0; row < bands.rows(); ++row) {
      for (int piece = 0; piece < bands.pieces(); ++piece) {
        const auto* from = reinterpret_cast<const std::uint16_t*>(bands.samples(0, piece, row));
        std::copy(from, from + bands.columns(piece), &codes[bands.first_column(piece)]);
      }
      if (!linearization_.empty()) {
        for (std::uint16_t& code : codes)
          code = linearization_[std::min<std::size_t>(code, linearization_.size() - 1)];
      }
      cells.add_row(codes.data());
    }
  }
}

SensorLevels sensor_levels(const TiffFile& file, const TiffPage& page, int orientation) {
  SensorLevels levels;
  const BlackPattern black = black_pattern(file, page);
  if (!black.one_a_sample())
    throw InputError(ErrorCode::unsupported, file.path(),
                     "is a linear DNG with a pattern of black levels", kExportLinear);
  for (int c = 0; c < 3; ++c) {
    const int sample = std::min<int>(c, page.samples - 1);
    levels.black[c] = black.at(0, 0, sample);
    levels.white[c] = white_level(file, page, sample);
    if (levels.white[c] <= levels.black[c])
      throw InputError(ErrorCode::unreadable, file.path(),
                       "has a white level that is not above its black level", kExportLinear);
  }
  levels.linearization = values<std::uint16_t>(file, TIFFTAG_LINEARIZATIONTABLE);
  levels.orientation = orientation;
  return levels;
}

}  // namespace

bool holds_raw(const std::vector<TiffPage>& pages) {
  return std::any_of(pages.begin(), pages.end(), [](const TiffPage& p) { return p.is_raw(); });
}

std::unique_ptr<Decoder> open_raw_tiff(TiffFile file, const std::vector<TiffPage>& pages) {
  std::vector<TiffPage> raw_pages;
  std::copy_if(pages.begin(), pages.end(), std::back_inserter(raw_pages),
               [](const TiffPage& p) { return p.is_raw(); });
  const TiffPage page = main_page(raw_pages);
  const int orientation = pages.front().orientation;  // of the first directory, as DNG has it
  select_page(file, page);
  if (!goes_through_libtiff(file, page)) return open_raw(file.path());
  refuse_unusual(file, page);
  if (page.photometric == PHOTOMETRIC_CFA)
    return std::make_unique<MosaicDecoder>(std::move(file), page, orientation);
  const SensorLevels levels = sensor_levels(file, page, orientation);
  return open_linear_raw(std::move(file), page, levels);
}

}  // namespace basefog::decode
