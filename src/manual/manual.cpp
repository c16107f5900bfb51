// SPDX-License-Identifier: GPL-3.0-or-later
// Topics are files in topics/, and what the program knows in tables is filled in where they say so:
// a paragraph {flags} becomes an entry a flag, {kMostLogRows} within a text a number.
#include "manual/manual.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <map>
#include <nlohmann/json.hpp>
#include <stdexcept>

#include "basefog/core/limits.hpp"
#include "basefog/core/quality.hpp"
#include "film/film_profile_keys.hpp"
#include "log/camera_keys.hpp"
#include "log/phrases.hpp"
#include "manual/exit_states.hpp"
#include "manual/settings_keys.hpp"
#include "manual/topics.hpp"
#include "report/csv_columns.hpp"
#include "response/response_file_keys.hpp"

namespace basefog::manual {
namespace {

using Kind = TextBlock::Kind;

/// Where explanations stand under their terms.
constexpr std::size_t kColumn = 6;
/// The topic that is no file, but the program's own commands; its page is that of the program.
constexpr const char* kCommandsTopic = "commands";
constexpr const char* kCommandsTitle = "what the camera really did, read from scans of negatives";

TextBlock entry(std::string term, std::string text) {
  return {.kind = Kind::entry, .text = std::move(text), .term = std::move(term)};
}

TextBlocks flag_entries() {
  TextBlocks blocks;
  for (const FlagText& flag : all_flags()) {
    blocks.push_back(
        entry(std::string(flag.name), fmt::format("{} {}", flag.long_text, flag.next_step)));
  }
  return blocks;
}

TextBlocks key_entries(std::span<const FileKey> keys) {
  TextBlocks blocks;
  std::string_view section;
  for (const FileKey& key : keys) {
    if (key.section != section) {
      blocks.push_back({.kind = Kind::subheading, .text = fmt::format("[{}]", key.section)});
    }
    section = key.section;
    const std::string preset = key.preset.empty() ? "" : fmt::format(" (default {})", key.preset);
    blocks.push_back(entry(fmt::format("{} = {}", key.name, key.value),
                           fmt::format("{}{}.", key.meaning, preset)));
  }
  return blocks;
}

TextBlocks column_entries(std::span<const report::CsvColumn> columns) {
  TextBlocks blocks;
  for (const report::CsvColumn& column : columns) {
    const std::vector<std::string> heads = report::heads_of(column);
    blocks.push_back(entry(heads.front(), fmt::format("{}.", column.meaning)));
    if (heads.size() < 3) continue;
    blocks.push_back(entry(fmt::format("{}, {}", heads[1], heads[2]),
                           "Ends of its 95 % interval; empty where open."));
  }
  return blocks;
}

TextBlocks log_entries() {
  TextBlocks blocks;
  for (const log::ColumnText& column : log::column_texts()) {
    blocks.push_back(entry(std::string(column.name),
                           fmt::format("{} Heads: {}.", column.meaning,
                                       fmt::join(log::parted_by_bars(column.heads), ", "))));
  }
  return blocks;
}

TextBlocks exit_entries() {
  TextBlocks blocks;
  for (const ExitState& state : kExitStates) {
    blocks.push_back(entry(std::to_string(state.status), state.text));
  }
  return blocks;
}

/// What a node of the schema says of itself: its text, and the words that may stand there.
std::string schema_text(const nlohmann::json& node) {
  std::string text = node.value("description", "");
  std::string words;
  const nlohmann::json choices = node.value("enum", nlohmann::json::array());
  for (const nlohmann::json& word : choices) {
    words += (words.empty() ? "" : ", ") + word.get<std::string>();
  }
  if (!words.empty()) text += (text.empty() ? "" : " ") + fmt::format("One of {}.", words);
  return text;
}

/// The names below a node of the JSON's schema, each with its path: "frames[].exposure.stops". What
/// several names share (an interval, an answer) is shown where it is defined.
void put_names(TextBlocks& blocks, const nlohmann::json& node, const std::string& path) {
  const nlohmann::json properties = node.value("properties", nlohmann::json::object());
  for (const auto& [name, below] : properties.items()) {
    std::string full = path.empty() ? name : path + "." + name;
    std::string text = schema_text(below);
    const nlohmann::json items = below.value("items", nlohmann::json::object());
    for (const nlohmann::json* from : {&below, &items}) {
      if (!from->is_object() || !from->contains("$ref")) continue;
      const std::string target = from->at("$ref");
      text += (text.empty() ? "" : " ") + fmt::format("({})", target.substr(target.rfind('/') + 1));
    }
    if (below.contains("items")) full += "[]";
    blocks.push_back(entry(full, text.empty() ? "Likewise." : text));
    put_names(blocks, below, full);
    if (items.is_object()) put_names(blocks, items, full);
  }
}

TextBlocks json_entries() {
  const auto schema = nlohmann::json::parse(kReviewSchema);
  TextBlocks blocks = {{.text = schema_text(schema)}};
  put_names(blocks, schema, "");
  for (const auto& [name, shared] : schema.at("definitions").items()) {
    blocks.push_back({.kind = Kind::subheading, .text = name});
    if (const std::string text = schema_text(shared); !text.empty())
      blocks.push_back({.text = text});
    put_names(blocks, shared, "");
  }
  return blocks;
}

const std::map<std::string, std::function<TextBlocks()>> kTables = {
    {"{flags}", flag_entries},
    {"{camera-keys}", [] { return key_entries(log::kCameraKeys); }},
    {"{film-keys}", [] { return key_entries(film::kFilmProfileKeys); }},
    {"{response-keys}", [] { return key_entries(response::kResponseFileKeys); }},
    {"{settings-keys}", [] { return key_entries(kSettingsKeys); }},
    {"{frames-columns}", [] { return column_entries(report::frames_columns()); }},
    {"{rolls-columns}", [] { return column_entries(report::rolls_columns()); }},
    {"{log-columns}", log_entries},
    {"{exit-states}", exit_entries},
    {"{json-names}", json_entries},
};

std::string bytes_text(std::uint64_t bytes) {
  return fmt::format("{} MiB", bytes / limits::kMebibyte);
}

std::string count_text(std::uint64_t count) {
  std::string text = std::to_string(count);
  for (std::size_t at = text.size(); at > 3;) text.insert(at -= 3, 1, ',');
  return text;
}

const std::map<std::string, std::string> kNumbers = {
    {"{kMostPixels}", count_text(limits::kMostPixels)},
    {"{kMostPixelsASide}", count_text(limits::kMostPixelsASide)},
    {"{kMostHeldBytes}", bytes_text(limits::kMostHeldBytes)},
    {"{kMostPackedBytes}", bytes_text(limits::kMostPackedBytes)},
    {"{kMostRawBytes}", bytes_text(limits::kMostRawBytes)},
    {"{kMostJpegPasses}", count_text(limits::kMostJpegPasses)},
    {"{kMostPngChunkBytes}", bytes_text(limits::kMostPngChunkBytes)},
    {"{kMostPngChunks}", count_text(limits::kMostPngChunks)},
    {"{kMostMetadataBytes}", bytes_text(limits::kMostMetadataBytes)},
    {"{kMostXmpElements}", count_text(limits::kMostXmpElements)},
    {"{kMostTiffPages}", count_text(limits::kMostTiffPages)},
    {"{kMostScansInReview}", count_text(limits::kMostScansInReview)},
    {"{kMostLogBytes}", bytes_text(limits::kMostLogBytes)},
    {"{kMostLogRows}", count_text(limits::kMostLogRows)},
    {"{kMostTableRows}", count_text(limits::kMostTableRows)},
    {"{kMostSettingsBytes}", bytes_text(limits::kMostSettingsBytes)},
    {"{kMostRecordBytes}", bytes_text(limits::kMostRecordBytes)},
    {"{kMostRecordNumbers}", count_text(limits::kMostRecordNumbers)},
};

std::string with_numbers(std::string text) {
  for (const auto& [name, number] : kNumbers) {
    for (std::size_t at; (at = text.find(name)) != std::string::npos;) {
      text.replace(at, name.size(), number);
    }
  }
  return text;
}

/// A topic's text with all tables in their places.
TextBlocks filled(std::string_view text) {
  TextBlocks blocks;
  for (const TextBlock& block : parse_blocks(with_numbers(std::string(text)))) {
    if (!block.text.starts_with('{')) {
      blocks.push_back(block);
      continue;
    }
    const TextBlocks table = kTables.at(block.text)();
    blocks.insert(blocks.end(), table.begin(), table.end());
  }
  return blocks;
}

void put_command(TextBlocks& blocks, const CommandWords& command) {
  for (const CommandWords& below : command.commands) put_command(blocks, below);
  if (!command.commands.empty()) return;
  std::string call = "  " + command.path;
  for (const OptionWords& option : command.options) {
    if (option.positional) call += " " + option_entry(option).term;
  }
  blocks.push_back({.kind = Kind::subheading, .text = command.path});
  blocks.push_back({.kind = Kind::example, .text = call + " [options]"});
  blocks.push_back({.text = command.text + "."});
  for (const bool positional : {true, false}) {
    for (const OptionWords& option : command.options) {
      const bool help = std::ranges::find(option.names, "--help") != option.names.end();
      if (help || option.positional != positional) continue;
      blocks.push_back(option_entry(option));
      blocks.back().text += '.';
    }
  }
  const TextBlocks details = parse_blocks(command.details);
  blocks.insert(blocks.end(), details.begin(), details.end());
}

/// basefog(1): all commands and options, from the program's own words.
ManualPage commands_page(const CommandWords& program) {
  ManualPage page{program.name, "1", kCommandsTitle, {{.text = program.text + "."}}};
  const TextBlocks details = parse_blocks(program.details);
  page.blocks.insert(page.blocks.end(), details.begin(), details.end());
  page.blocks.push_back({.kind = Kind::heading, .text = "COMMANDS"});
  for (const CommandWords& command : program.commands) put_command(page.blocks, command);
  page.blocks.push_back({.kind = Kind::heading, .text = "OPTIONS"});
  for (const OptionWords& option : program.options) page.blocks.push_back(option_entry(option));
  const TextBlocks rest = filled(
      "# EXIT STATUS\n{exit-states}\n# ENVIRONMENT\n"
      "* NO_COLOR | When set and not empty, no colour is printed.\n"
      "* CLICOLOR, CLICOLOR_FORCE | 0 in the first is no colour; in the second anything but 0 is "
      "colour in pipes and files too. --color is over all three.\n"
      "* TERM | dumb is no colour, and no line is rewritten.\n"
      "# CAUTION\nScans are never written to, moved or renamed. Keep your negatives: no program "
      "replaces the film.\n");
  page.blocks.insert(page.blocks.end(), rest.begin(), rest.end());
  return page;
}

std::string_view title_of(const TopicFile& topic) {
  return topic.text.substr(0, topic.text.find('\n'));
}

ManualPage topic_page(const TopicFile& topic) {
  return {"basefog-" + std::string(topic.name), std::string(topic.section),
          std::string(title_of(topic)), filled(topic.text.substr(topic.text.find('\n')))};
}

}  // namespace

std::vector<std::string> topic_names() {
  std::vector<std::string> names = {kCommandsTopic};
  for (const TopicFile& topic : kTopicFiles) names.emplace_back(topic.name);
  return names;
}

std::string topic_list() {
  TextBlocks blocks = {entry(kCommandsTopic, "all commands and their options")};
  for (const TopicFile& topic : kTopicFiles) {
    blocks.push_back(entry(std::string(topic.name), std::string(title_of(topic))));
  }
  blocks.push_back({.text = "basefog manual TOPIC prints one of them; basefog COMMAND --help says "
                            "what a command takes."});
  return terminal_text(blocks, 14);
}

ManualPage manual_page(const CommandWords& program, const std::string& topic) {
  if (topic == kCommandsTopic) return commands_page(program);
  const auto file = std::ranges::find(kTopicFiles, topic, &TopicFile::name);
  if (file == kTopicFiles.end()) throw std::out_of_range("the manual has no topic " + topic);
  return topic_page(*file);
}

std::string terminal_page(const ManualPage& page) {
  return terminal_text({{.text = page.name + ": " + page.title + "."}}, kColumn) + '\n' +
         terminal_text(page.blocks, kColumn);
}

std::string man_page(const ManualPage& page) {
  std::vector<std::string> all = {"basefog(1)"};
  for (const TopicFile& topic : kTopicFiles) {
    all.push_back(fmt::format("basefog-{}({})", topic.name, topic.section));
  }
  return roff_page(page, all);
}

}  // namespace basefog::manual
