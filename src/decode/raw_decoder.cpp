// SPDX-License-Identifier: GPL-3.0-or-later
#include "decode/raw_decoder.hpp"

#include <dlfcn.h>
#include <libraw/libraw.h>

#include <algorithm>
#include <bit>
#include <numeric>
#include <string>
#include <utility>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"
#include "decode/sensor_cells.hpp"

namespace basefog::decode {
namespace {

constexpr unsigned kXTrans = 9;         ///< LibRaw's number for the 6 x 6 pattern
constexpr unsigned kFirstBayer = 1000;  ///< from here on filters describes a Bayer pattern
/// Rows after which a sensor's black levels may repeat; more is a level for each row.
constexpr int kMostPatternRows = 64;
constexpr const char* kConvertToDng = "convert it to DNG or to linear 16-bit TIFF";

/// Scans are read on as many threads as there are cores, so LibRaw must not start more of its own
/// for the makes whose decoders are parallel. The setting is the calling thread's. Looked up when
/// needed: only LibRaw knows which OpenMP it was built with, if with any.
void keep_to_this_thread() {
  using SetThreads = void (*)(int);
  static const auto set_threads =
      reinterpret_cast<SetThreads>(dlsym(RTLD_DEFAULT, "omp_set_num_threads"));
  if (set_threads != nullptr) set_threads(1);
}

void note_damage(void* damaged, const char*, const int) { *static_cast<bool*>(damaged) = true; }

/// Exif's orientation for LibRaw's flip (bit 2 exchanges axes, bit 1 flips rows, bit 0 columns).
int orientation_of(int flip) {
  constexpr int kOrientation[] = {1, 2, 4, 3, 5, 8, 6, 7};
  return kOrientation[flip & 7];
}

class RawDecoder final : public Decoder {
 public:
  explicit RawDecoder(const std::filesystem::path& path);

  const Picture& picture() const override { return picture_; }
  void decode(BlockAccumulator& rows) override;
  std::string damage() const override { return ""; }

 private:
  void unpack(const std::filesystem::path& path);
  void lay_out_mosaic(const std::filesystem::path& path);
  void lay_out_colours(const std::filesystem::path& path);
  double black(int colour, int row, int column) const;
  void decode_colours(BlockAccumulator& rows) const;

  bool damaged_ = false;
  std::unique_ptr<LibRaw> raw_ = std::make_unique<LibRaw>();
  Picture picture_;
  SensorLayout layout_;
};

RawDecoder::RawDecoder(const std::filesystem::path& path) {
  unpack(path);
  const libraw_data_t& data = raw_->imgdata;
  picture_.format = data.idata.dng_version != 0 ? "DNG" : "camera raw";
  picture_.make = data.idata.make;
  picture_.model = data.idata.model;
  picture_.orientation = orientation_of(data.sizes.flip);
  picture_.declared = response::sensor_response();
  if (data.rawdata.raw_image != nullptr)
    lay_out_mosaic(path);
  else
    lay_out_colours(path);
  const double steps = data.color.maximum - black(0, 0, 0);
  if (steps <= 0 || picture_.width == 0 || picture_.height == 0)
    throw InputError(ErrorCode::unsupported, path, "has no known black and white level",
                     kConvertToDng);
  picture_.code_steps = steps;
  picture_.bits_per_sample = static_cast<int>(std::bit_width(data.color.maximum));
  if (picture_.bits_per_sample <= 8) picture_.flags.insert(Flag::eight_bit);
}

void RawDecoder::unpack(const std::filesystem::path& path) {
  keep_to_this_thread();
  raw_->set_dataerror_handler(note_damage, &damaged_);
  raw_->imgdata.params.max_raw_memory_mb =
      static_cast<unsigned>(limits::kMostRawBytes / limits::kMebibyte);
  if (const int error = raw_->open_file(path.c_str()); error != LIBRAW_SUCCESS)
    throw InputError(
        error == LIBRAW_FILE_UNSUPPORTED ? ErrorCode::unsupported : ErrorCode::unreadable, path,
        std::string("cannot be read as camera raw (") + libraw_strerror(error) + ")",
        kConvertToDng);
  const std::string size = std::to_string(raw_->imgdata.sizes.raw_width) + " x " +
                           std::to_string(raw_->imgdata.sizes.raw_height);
  const int error = raw_->unpack();
  if (error == LIBRAW_FILE_UNSUPPORTED || error == LIBRAW_NOT_IMPLEMENTED)
    throw InputError(ErrorCode::unsupported, path, "is packed in a way that cannot be read here",
                     kConvertToDng);
  if (error == LIBRAW_TOO_BIG)
    throw InputError(ErrorCode::unreadable, path,
                     "holds " + size + " sensor values, over the limit of " +
                         std::to_string(limits::kMostRawBytes / limits::kMebibyte) + " MiB",
                     "copy the file again if it is not that large, or give a linear TIFF of it");
  if (error != LIBRAW_SUCCESS || damaged_)
    throw InputError(ErrorCode::unreadable, path, "is damaged or cut short",
                     "copy it again, or take the frame again");
}

/// Black level of a site or sample; row and column in the visible picture.
double RawDecoder::black(int colour, int row, int column) const {
  const libraw_colordata_t& color = raw_->imgdata.color;
  double level = static_cast<double>(color.black) + color.cblack[colour];
  const unsigned rows = color.cblack[4];
  const unsigned columns = color.cblack[5];
  if (rows > 0 && columns > 0) level += color.cblack[6 + row % rows * columns + column % columns];
  return level;
}

void RawDecoder::lay_out_mosaic(const std::filesystem::path& path) {
  const libraw_data_t& data = raw_->imgdata;
  const unsigned filters = data.idata.filters;
  const bool bayer = filters >= kFirstBayer;
  const bool mono = filters == 0 && data.idata.colors == 1;
  const std::string_view names = data.idata.cdesc;
  const bool primaries = names.substr(0, 3) == "RGB" && (names.size() < 4 || names[3] == 'G');
  if (!(mono || ((bayer || filters == kXTrans) && primaries)))
    throw InputError(ErrorCode::unsupported, path, "has an unusual sensor pattern", kConvertToDng);
  if (data.rawdata.ioparams.fuji_width != 0)
    throw InputError(ErrorCode::unsupported, path, "has a diagonal sensor pattern", kConvertToDng);
  layout_.width = data.sizes.width;
  layout_.height = data.sizes.height;
  layout_.cell = mono ? 1 : bayer ? 2 : 3;
  layout_.channels = mono ? 1 : 3;
  layout_.white = data.color.maximum;
  const int pattern_rows = mono ? 1 : bayer ? 8 : 6;  // as LibRaw describes them
  const int black_rows = std::max(1, static_cast<int>(data.color.cblack[4]));
  if (black_rows > kMostPatternRows)
    throw InputError(ErrorCode::unsupported, path, "has a black level of its own for each row",
                     kConvertToDng);
  layout_.period = std::lcm(pattern_rows, black_rows);
  const auto colour = [this, mono](int row, int column) {
    return mono ? 0 : raw_->COLOR(row, column);
  };
  layout_.channel = [colour](int row, int column) {
    const int c = colour(row, column);
    return c == 3 ? 1 : c;  // the second green
  };
  layout_.black = [this, colour](int row, int column) {
    return black(colour(row, column), row, column);
  };
  picture_.width = SensorCells::cells(layout_.width, layout_);
  picture_.height = SensorCells::cells(layout_.height, layout_);
  picture_.channels = layout_.channels;
  picture_.kind = SampleKind::f32;
  picture_.white.fill(1);
}

void RawDecoder::lay_out_colours(const std::filesystem::path& path) {
  const libraw_data_t& data = raw_->imgdata;
  if (data.rawdata.color3_image == nullptr && data.rawdata.color4_image == nullptr)
    throw InputError(ErrorCode::unsupported, path, "holds floating-point or unusual raw data",
                     kConvertToDng);
  picture_.width = data.sizes.width;
  picture_.height = data.sizes.height;
  picture_.channels = 3;
  for (int c = 0; c < 3; ++c) {
    picture_.black[c] = black(c, 0, 0);
    picture_.white[c] = data.color.maximum;
  }
  if (data.idata.colors == 4) picture_.flags.insert(Flag::infrared_ignored);
}

void RawDecoder::decode(BlockAccumulator& rows) {
  const libraw_rawdata_t& data = raw_->imgdata.rawdata;
  if (data.raw_image == nullptr) return decode_colours(rows);
  const libraw_image_sizes_t& sizes = raw_->imgdata.sizes;
  const std::size_t pitch = sizes.raw_pitch / sizeof(std::uint16_t);
  SensorCells cells(layout_, rows);
  for (int row = 0; row < layout_.height; ++row)
    cells.add_row(data.raw_image + (row + sizes.top_margin) * pitch + sizes.left_margin);
}

void RawDecoder::decode_colours(BlockAccumulator& rows) const {
  const libraw_rawdata_t& data = raw_->imgdata.rawdata;
  const libraw_image_sizes_t& sizes = raw_->imgdata.sizes;
  const int stride = data.color4_image != nullptr ? 4 : 3;
  const auto* samples =
      data.color4_image != nullptr ? &data.color4_image[0][0] : &data.color3_image[0][0];
  const std::size_t pitch = sizes.raw_pitch / sizeof(std::uint16_t);
  for (int row = 0; row < picture_.height; ++row) {
    const auto* first = samples + (row + sizes.top_margin) * pitch;
    rows.add_pixels(first + static_cast<std::size_t>(sizes.left_margin) * stride, 0, picture_.width,
                    stride);
    rows.end_row();
  }
}

}  // namespace

std::unique_ptr<Decoder> open_raw(const std::filesystem::path& path) {
  return std::make_unique<RawDecoder>(path);
}

}  // namespace basefog::decode
