// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <fstream>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

namespace basefog {

/// A comma-separated table of numbers with one header line, from tests/golden.
struct GoldenTable {
  std::vector<std::string> columns;
  std::vector<std::vector<double>> rows;
};

inline GoldenTable read_golden(const std::string& name) {
  std::ifstream file(std::string(BASEFOG_GOLDEN) + "/" + name);
  if (!file) throw std::runtime_error("no golden table " + name);
  GoldenTable table;
  std::string line;
  while (std::getline(file, line)) {
    while (!line.empty() && (line.back() == '\r' || line.back() == ' ')) line.pop_back();
    if (line.empty()) continue;
    std::istringstream cells(line);
    std::string cell;
    std::vector<double> row;
    while (std::getline(cells, cell, ',')) {
      if (table.rows.empty() && row.empty() && table.columns.empty()) {
        table.columns.push_back(cell);
        while (std::getline(cells, cell, ',')) table.columns.push_back(cell);
        break;
      }
      row.push_back(std::stod(cell));
    }
    if (!row.empty()) table.rows.push_back(row);
  }
  return table;
}

}  // namespace basefog
