// SPDX-License-Identifier: GPL-3.0-or-later
#include "desk/sheet_json.hpp"

namespace basefog::desk {

using Json = nlohmann::json;

Json rows_json(const Sheet& sheet) {
  Json facts = Json::array();
  for (const Fact& fact : sheet.facts) facts.push_back({{"name", fact.name}, {"text", fact.text}});
  Json rows = Json::array();
  for (const SheetRow& row : sheet.rows) rows.push_back({{"id", row.id}, {"cells", row.cells}});
  return {{"facts", facts}, {"columns", sheet.columns}, {"rows", rows}};
}

Sheet sheet_of_rows(const Json& json) {
  Sheet sheet;
  for (const Json& fact : json.at("facts")) {
    sheet.facts.push_back({fact.at("name").get<std::string>(), fact.at("text").get<std::string>()});
  }
  json.at("columns").get_to(sheet.columns);
  for (const Json& row : json.at("rows")) {
    sheet.rows.push_back(
        {row.at("id").get<int>(), row.at("cells").get<std::vector<std::string>>()});
  }
  return sheet;
}

std::string sheet_text(const Sheet& sheet) {
  Json json = rows_json(sheet);
  json["settings"] = sheet.settings;
  json["fixed"] = Json::array();
  for (const FixedRow& fixed : sheet.fixed) {
    json["fixed"].push_back({{"file", fixed.picture.file},
                             {"index", fixed.picture.index},
                             {"row", fixed.row ? Json(*fixed.row) : Json()}});
  }
  // Names of files are bytes, which JSON has no way to hold where they are no UTF-8.
  return json.dump(1, ' ', false, Json::error_handler_t::replace);
}

std::optional<Sheet> sheet_from_json(std::string_view text) {
  try {
    const Json json = Json::parse(text);
    Sheet sheet = sheet_of_rows(json);
    json.at("settings").get_to(sheet.settings);
    for (const Json& fixed : json.at("fixed")) {
      const Json& row = fixed.at("row");
      sheet.fixed.push_back({{fixed.at("file").get<std::string>(), fixed.at("index").get<int>()},
                             row.is_null() ? std::nullopt : std::optional(row.get<int>())});
    }
    return checked(std::move(sheet));
  } catch (const Json::exception&) {
    return std::nullopt;
  }
}

}  // namespace basefog::desk
