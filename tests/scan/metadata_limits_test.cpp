// SPDX-License-Identifier: GPL-3.0-or-later
// Metadata that would take gigabytes in the metadata library are left out, with a word; the picture
// is read all the same.
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <tiffio.h>

#include <algorithm>
#include <cstring>
#include <functional>
#include <string>
#include <vector>

#include "basefog/core/limits.hpp"
#include "basefog/scan/scan.hpp"
#include "makers/scan_writer.hpp"
#include "scan/metadata_size.hpp"

namespace basefog::scan {
namespace {

using Fill = std::function<void(TIFF*)>;

/// A picture of 16 x 16 whose first directory holds more.
std::string tiff_with(const std::string& name, const Fill& fill) {
  const std::string path = testing::TempDir() + name;
  TIFF* tiff = TIFFOpen(path.c_str(), "w");
  TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, 16);
  TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, 16);
  TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, 16);
  TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, 1);
  TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_MINISBLACK);
  TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, 16);
  TIFFSetField(tiff, TIFFTAG_MODEL, "Filmscan 3000");
  fill(tiff);
  std::vector<std::uint16_t> row(16, 30000);
  for (std::uint32_t y = 0; y < 16; ++y) TIFFWriteScanline(tiff, row.data(), y);
  TIFFClose(tiff);
  return path;
}

std::string packet(const std::string& items) {
  return "<x:xmpmeta xmlns:x='adobe:ns:meta/'><rdf:RDF "
         "xmlns:rdf='http://www.w3.org/1999/02/22-rdf-syntax-ns#'><rdf:Description rdf:about='' "
         "xmlns:dc='http://purl.org/dc/elements/1.1/'><dc:subject><rdf:Bag>" +
         items + "</rdf:Bag></dc:subject></rdf:Description></rdf:RDF></x:xmpmeta>";
}

std::string repeated(const std::string& text, std::size_t times) {
  std::string out;
  out.reserve(text.size() * times);
  for (std::size_t i = 0; i < times; ++i) out += text;
  return out;
}

void set_bytes(TIFF* tiff, std::uint32_t tag, const std::string& data) {
  TIFFSetField(tiff, tag, static_cast<std::uint32_t>(data.size()), data.data());
}

long peak_mebibytes() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return usage.ru_maxrss / 1024;
}

TEST(MetadataLimits, three_million_empty_items_take_no_memory) {
  const std::string path = tiff_with("items.tif", [](TIFF* tiff) {
    set_bytes(tiff, TIFFTAG_XMLPACKET, packet(repeated("<rdf:li/>", 3'000'000)));
  });
  const long before = peak_mebibytes();
  const Scan scan = read_scan(path);
  EXPECT_LT(peak_mebibytes() - before, 200);  // the packet itself is 27 MiB, held twice
  EXPECT_TRUE(scan.flags.contains(Flag::metadata_ignored));
  EXPECT_EQ(scan.metadata.model, "Filmscan 3000");
  EXPECT_EQ(scan.width, 16);
}

TEST(MetadataLimits, many_items_in_few_bytes_are_too_many) {
  const std::string items = repeated("<rdf:li/>", limits::kMostXmpElements);
  EXPECT_FALSE(xmp_within_limits(packet(items)));
  EXPECT_TRUE(xmp_within_limits(packet(repeated("<rdf:li>a</rdf:li>", 10'000))));
}

TEST(MetadataLimits, usual_packet_is_read) {
  const Scan scan = read_scan(tiff_with("usual.tif", [](TIFF* tiff) {
    set_bytes(tiff, TIFFTAG_XMLPACKET, packet(repeated("<rdf:li>wall</rdf:li>", 100)));
  }));
  EXPECT_FALSE(scan.flags.contains(Flag::metadata_ignored));
}

TEST(MetadataLimits, large_values_of_every_kind_are_left_out) {
  const std::string large(limits::kMostMetadataBytes + 4096, 'x');
  for (const std::uint32_t tag : {TIFFTAG_XMLPACKET, TIFFTAG_ICCPROFILE, TIFFTAG_PHOTOSHOP}) {
    const std::string path =
        tiff_with("large.tif", [&](TIFF* tiff) { set_bytes(tiff, tag, large); });
    EXPECT_FALSE(tiff_metadata_within_limits(path)) << tag;
    EXPECT_TRUE(read_scan(path).flags.contains(Flag::metadata_ignored)) << tag;
  }
  // libtiff counts IPTC in words of four bytes, or in bytes.
  const std::string words(4 * large.size(), 'x');
  const std::string iptc = tiff_with("iptc.tif", [&](TIFF* tiff) {
    TIFFSetField(tiff, TIFFTAG_RICHTIFFIPTC, static_cast<std::uint32_t>(large.size()),
                 words.data());
  });
  EXPECT_TRUE(read_scan(iptc).flags.contains(Flag::metadata_ignored));
}

TEST(MetadataLimits, large_exif_value_is_left_out) {
  const std::string path = testing::TempDir() + "exif.tif";
  const std::string usual = tiff_with("exif.tif", [](TIFF* tiff) {
    TIFFSetField(tiff, TIFFTAG_EXIFIFD, static_cast<std::uint64_t>(0));
  });
  TIFF* tiff = TIFFOpen(path.c_str(), "r+");
  TIFFCreateEXIFDirectory(tiff);
  const std::string comment(limits::kMostMetadataBytes + 1, 'x');
  TIFFSetField(tiff, EXIFTAG_USERCOMMENT, static_cast<std::uint32_t>(comment.size()),
               comment.data());
  std::uint64_t at = 0;
  TIFFWriteCustomDirectory(tiff, &at);
  TIFFSetDirectory(tiff, 0);
  TIFFSetField(tiff, TIFFTAG_EXIFIFD, at);
  TIFFRewriteDirectory(tiff);
  TIFFClose(tiff);
  EXPECT_FALSE(tiff_metadata_within_limits(path));
  EXPECT_TRUE(read_scan(path).flags.contains(Flag::metadata_ignored));
}

TEST(MetadataLimits, directories_that_name_each_other_end) {
  const std::string path = tiff_with("loop.tif", [](TIFF*) {});
  std::string bytes = test::bytes_of(path);
  // The next directory after the last is the first again; libtiff wrote it before the values.
  std::uint32_t first = 0;
  std::memcpy(&first, &bytes[4], 4);
  std::uint16_t entries = 0;
  std::memcpy(&entries, &bytes[first], 2);
  std::copy_n(&bytes[4], 4, &bytes[first + 2 + 12 * entries]);
  EXPECT_TRUE(tiff_metadata_within_limits(test::write_bytes("loop.tif", bytes)));
}

}  // namespace
}  // namespace basefog::scan
