// SPDX-License-Identifier: GPL-3.0-or-later
#include "decode/png_decoder.hpp"

#include <png.h>

#include <array>
#include <bit>
#include <csetjmp>
#include <cstdio>
#include <cstring>
#include <string_view>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"

namespace basefog::decode {
namespace {

/// libpng reports errors by a jump, so each call that may fail runs under attempt(), with nothing
/// to destroy between the two.
struct PngSource {
  PngSource() = default;
  PngSource(const PngSource&) = delete;
  PngSource& operator=(const PngSource&) = delete;
  ~PngSource() {
    png_destroy_read_struct(&png, &info, nullptr);
    if (file != nullptr) std::fclose(file);
  }

  png_structp png = nullptr;
  png_infop info = nullptr;
  std::FILE* file = nullptr;
  std::jmp_buf failure{};
  std::array<char, 256> message{};
  png_bytep row = nullptr;
  png_bytepp image = nullptr;
};

[[noreturn]] void fail(png_structp png, png_const_charp message) {
  auto& source = *static_cast<PngSource*>(png_get_error_ptr(png));
  std::snprintf(source.message.data(), source.message.size(), "%s", message);
  std::longjmp(source.failure, 1);
}

/// Of a chunk beyond the limit libpng only warns, and takes the memory all the same.
void take_warning(png_structp png, png_const_charp message) {
  if (std::string_view(message).ends_with("chunk data is too large")) fail(png, message);
}

bool attempt(PngSource& source, void (*step)(PngSource&)) {
  if (setjmp(source.failure) != 0) return false;
  step(source);
  return true;
}

void read_header(PngSource& source) {
  png_init_io(source.png, source.file);
  png_read_info(source.png, source.info);
}

void start(PngSource& source) {
  if (png_get_bit_depth(source.png, source.info) == 16 &&
      std::endian::native == std::endian::little)
    png_set_swap(source.png);
  png_set_interlace_handling(source.png);
  png_read_update_info(source.png, source.info);
}

void read_row(PngSource& source) { png_read_row(source.png, source.row, nullptr); }
void read_image(PngSource& source) { png_read_image(source.png, source.image); }

class PngDecoder final : public Decoder {
 public:
  explicit PngDecoder(const std::filesystem::path& path);

  const Picture& picture() const override { return picture_; }
  void decode(BlockAccumulator& rows) override;
  std::string damage() const override { return source_.message.data(); }

 private:
  void refuse_unsupported(const std::filesystem::path& path) const;
  void read_chunks();
  void add_row(BlockAccumulator& rows, const png_byte* row) const;
  void decode_interlaced(BlockAccumulator& rows);

  PngSource source_;
  Picture picture_;
  int samples_per_pixel_ = 1;
};

PngDecoder::PngDecoder(const std::filesystem::path& path) {
  source_.file = std::fopen(path.c_str(), "rb");
  if (source_.file == nullptr)
    throw InputError(ErrorCode::unreadable, path, "cannot be opened", "check its permissions");
  source_.png = png_create_read_struct(PNG_LIBPNG_VER_STRING, &source_, fail, take_warning);
  source_.info = png_create_info_struct(source_.png);
  // Profiles and texts are packed, some to a thousandth of their size.
  png_set_chunk_malloc_max(source_.png, limits::kMostPngChunkBytes);
  png_set_chunk_cache_max(source_.png, limits::kMostPngChunks);
  if (!attempt(source_, read_header))
    throw InputError(ErrorCode::unreadable, path, "is not a whole PNG file (" + damage() + ")",
                     "copy it again, or scan the frame again");
  refuse_too_many_pixels(path, png_get_image_width(source_.png, source_.info),
                         png_get_image_height(source_.png, source_.info));
  picture_.format = "PNG";
  picture_.container = response::ScanFormat::png;
  picture_.width = static_cast<int>(png_get_image_width(source_.png, source_.info));
  picture_.height = static_cast<int>(png_get_image_height(source_.png, source_.info));
  picture_.bits_per_sample = png_get_bit_depth(source_.png, source_.info);
  refuse_unsupported(path);
  const bool colour = (png_get_color_type(source_.png, source_.info) & PNG_COLOR_MASK_COLOR) != 0;
  picture_.channels = colour ? 3 : 1;
  samples_per_pixel_ = png_get_channels(source_.png, source_.info);
  const bool byte = picture_.bits_per_sample == 8;
  picture_.kind = byte ? SampleKind::u8 : SampleKind::u16;
  picture_.white.fill(byte ? 255 : 65535);
  picture_.code_steps = picture_.white[0];
  if (byte) picture_.flags.insert(Flag::eight_bit);
  read_chunks();
}

void PngDecoder::refuse_unsupported(const std::filesystem::path& path) const {
  const auto refuse = [&](const std::string& problem) {
    throw InputError(ErrorCode::unsupported, path, problem,
                     "export it as gray or RGB with 16 bits a channel");
  };
  if (png_get_color_type(source_.png, source_.info) == PNG_COLOR_TYPE_PALETTE)
    refuse("holds palette colour");
  if (picture_.bits_per_sample < 8)
    refuse("has " + std::to_string(picture_.bits_per_sample) + "-bit packed samples");
  const bool interlaced = png_get_interlace_type(source_.png, source_.info) != PNG_INTERLACE_NONE;
  const std::uint64_t bytes =
      static_cast<std::uint64_t>(png_get_rowbytes(source_.png, source_.info)) * picture_.height;
  if (interlaced && bytes > limits::kMostHeldBytes)
    refuse("is interlaced and too large to be held in memory");
}

void PngDecoder::read_chunks() {
  png_charp name = nullptr;
  int compression = 0;
  png_bytep profile = nullptr;
  png_uint_32 size = 0;
  if (png_get_iCCP(source_.png, source_.info, &name, &compression, &profile, &size) != 0)
    picture_.icc_profile.assign(profile, profile + size);

  int intent = 0;
  const bool srgb = png_get_sRGB(source_.png, source_.info, &intent) != 0;
  double gamma = 0;
  const bool has_gamma = png_get_gAMA(source_.png, source_.info, &gamma) != 0;
  picture_.declared =
      response::response_from_png(srgb, has_gamma ? std::optional<double>(gamma) : std::nullopt);

  png_bytep exif = nullptr;
  if (png_get_eXIf_1(source_.png, source_.info, &size, &exif) != 0)
    picture_.exif.assign(exif, exif + size);
  png_textp texts = nullptr;
  int count = 0;
  png_get_text(source_.png, source_.info, &texts, &count);
  for (int i = 0; i < count; ++i) {
    if (std::string_view(texts[i].key) == "XML:com.adobe.xmp" && texts[i].text != nullptr)
      picture_.xmp = texts[i].text;
  }
}

void PngDecoder::add_row(BlockAccumulator& rows, const png_byte* row) const {
  if (picture_.kind == SampleKind::u8)
    rows.add_pixels(row, 0, picture_.width, samples_per_pixel_);
  else
    rows.add_pixels(reinterpret_cast<const std::uint16_t*>(row), 0, picture_.width,
                    samples_per_pixel_);
  rows.end_row();
}

void PngDecoder::decode(BlockAccumulator& rows) {
  if (!attempt(source_, start)) return;
  if (png_get_interlace_type(source_.png, source_.info) != PNG_INTERLACE_NONE)
    return decode_interlaced(rows);
  // As 16-bit samples for their alignment.
  std::vector<std::uint16_t> samples(png_get_rowbytes(source_.png, source_.info) / 2 + 1);
  source_.row = reinterpret_cast<png_bytep>(samples.data());
  for (int y = 0; y < picture_.height && attempt(source_, read_row); ++y)
    add_row(rows, source_.row);
}

void PngDecoder::decode_interlaced(BlockAccumulator& rows) {
  const std::size_t row_samples = png_get_rowbytes(source_.png, source_.info) / 2 + 1;
  std::vector<std::uint16_t> samples(row_samples * picture_.height);
  std::vector<png_bytep> pointers;
  for (int y = 0; y < picture_.height; ++y)
    pointers.push_back(reinterpret_cast<png_bytep>(&samples[y * row_samples]));
  source_.image = pointers.data();
  if (!attempt(source_, read_image)) return;  // every row of a cut file lacks pixels
  for (const png_byte* row : pointers) add_row(rows, row);
}

}  // namespace

std::unique_ptr<Decoder> open_png(const std::filesystem::path& path) {
  return std::make_unique<PngDecoder>(path);
}

}  // namespace basefog::decode
