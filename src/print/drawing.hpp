// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cairo.h>

#include <memory>
#include <string>
#include <string_view>

// Printed matter, drawn once and written as PDF or as SVG. Millimetres, from the upper left corner.
namespace basefog::print {

enum class DrawingForm { pdf, svg };

/// Red, green and blue, 0 to 1.
struct Ink {
  double red = 0, green = 0, blue = 0;
};

enum class Face { serif, sans };

struct Lettering {
  double size = 3.6;
  Face face = Face::serif;
  Ink ink{};
  bool from_right = false;  ///< ends at x
};

/// One file's drawing. Letters are the system's: embedded in PDF, where they can be searched; as
/// outlines in SVG, which therefore also carries the words as its description.
class Drawing {
 public:
  /// title: for the file's own title.
  Drawing(DrawingForm form, double width, double height, std::string title);
  Drawing(const Drawing&) = delete;  // cairo writes into this one
  Drawing& operator=(const Drawing&) = delete;
  ~Drawing() = default;

  void line(double x1, double y1, double x2, double y2, double width, const Ink& ink);
  /// A card's outline with round corners, just within the page.
  void round_edge(double radius, double width, const Ink& ink);
  /// text: of any origin. y: of the line that letters stand on. room: longer text is set smaller,
  /// never over the edge; left out, to the page's edge. Returns where the text ends.
  double text(double x, double y, std::string_view text, const Lettering& lettering,
              double room = 0);
  /// PDF only: what follows stands on a page of its own.
  void next_page();

  /// The file. Nothing can be drawn afterwards. Throws std::runtime_error where cairo failed.
  std::string finish();

 private:
  using Surface = std::unique_ptr<cairo_surface_t, decltype(&cairo_surface_destroy)>;
  using Pen = std::unique_ptr<cairo_t, decltype(&cairo_destroy)>;

  DrawingForm form_;
  double width_, height_;
  std::string title_;
  std::string words_;  ///< every text, a line each
  std::string bytes_;
  Surface surface_;
  Pen pen_;
};

}  // namespace basefog::print
