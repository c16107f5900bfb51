// SPDX-License-Identifier: GPL-3.0-or-later
// A study of how film is found as hands lay it on the glass: every frame is either found, or it is
// said that film lies there on which none was found.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "basefog/area/film_area.hpp"
#include "makers/strewn_film.hpp"

namespace validation {

/// One sheet: what was there, what was found, what was said.
struct StrewnScore {
  int sheets = 0;
  int frames = 0;    ///< whole, with a picture that shows, or between others
  int found = 0;     ///< of them, with an overlap above 0.95
  int lost = 0;      ///< of them, with an overlap below a half
  int silent = 0;    ///< of the lost, without a word that film lies there
  int invented = 0;  ///< found, and no frame overlaps it by a half
  double least_overlap = 1;

  void add(const StrewnScore& other);
};

StrewnScore judge(const basefog::strewn::Glass& glass, const basefog::area::FilmLayout& layout);

/// A picture of the sheet with what was drawn and what was found, as a PNG file.
void save_picture(const std::string& path, const basefog::strewn::Glass& glass,
                  const basefog::scan::Scan& scan, const basefog::area::FilmLayout& layout);

/// Keeps a sheet as an 8-bit scan in sRGB, FOLDER/NAME.png, and a line for each of its frames in
/// FOLDER/frames.tsv, as tests/data/odd_sheets has them.
void keep_sheet(const std::filesystem::path& folder, const std::string& name,
                const basefog::strewn::Glass& glass, const basefog::scan::Scan& scan);

}  // namespace validation
