// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "basefog/roll/analysis.hpp"
#include "page/frame_images.hpp"

// The parts of the HTML report, each appended to the page as it is written. All text of unknown
// origin goes through escape_markup.
namespace basefog::page {

/// What to do next time, in at most three sentences, and how sure that is.
void put_next_time(std::string& out, const roll::Analysis& analysis);
/// The roll in film order: straight prints, each with its words and its ruler.
void put_strip(std::string& out, const roll::Analysis& analysis,
               const std::vector<FrameImages>& images);
/// All numbers in a table that can be sorted, and each frame opened.
void put_frames(std::string& out, const roll::Analysis& analysis,
                const std::vector<FrameImages>& images);
void put_matching(std::string& out, const roll::Analysis& analysis);
void put_warnings(std::string& out, const roll::Analysis& analysis);
void put_method(std::string& out, const roll::Analysis& analysis);
void put_glossary(std::string& out);

/// A part of the page under a name of its own, so that a page that is open can take it anew.
struct PagePart {
  std::string name;
  std::string html;
};

/// All that stands between the page's head and foot, in order.
std::vector<PagePart> page_parts(const roll::Analysis& analysis,
                                 const std::vector<FrameImages>& images);

/// The page's foot, and the dialog that a frame is opened in.
void put_foot(std::string& out);

/// "14 frames: 5 well exposed. Generic black-and-white, ISO 400."
std::string meta_line(const roll::Analysis& analysis);

/// The script's hash as Content Security Policy wants it [CSP3, 6.7.2]: only this script may run,
/// whatever text the page holds.
std::string script_source();

/// A document's beginning, up to its body. title: of any origin. may_load: what the page needs
/// beyond its own style, in the words of Content Security Policy [CSP3], each with its semicolon.
void put_head(std::string& out, std::string_view title, std::string_view may_load);

/// A list of sentences that are escaped already; nothing where there are none.
void put_list(std::string& out, const char* classes, const std::vector<std::string>& items);

/// "Roll 7, bench camera": from the log, else from the folder of the first scan.
std::string title_of(const roll::Analysis& analysis);

}  // namespace basefog::page
