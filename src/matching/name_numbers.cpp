// SPDX-License-Identifier: GPL-3.0-or-later
#include "matching/name_numbers.hpp"

#include <map>
#include <regex>
#include <set>

namespace basefog::matching {
namespace {

/// A name as the words between its numbers, and the numbers.
struct NameParts {
  std::string words;  ///< "#" in the place of each number
  std::vector<std::string> numbers;
};

/// Dates and times of day are no frames' numbers, nor are numbers of more than five digits.
NameParts parts_of(const std::string& stem) {
  static const std::regex moment(
      R"((19|20)\d\d[-_.]?[01]\d[-_.]?[0-3]\d([ T_-]+[0-2]\d[-_.:h]?[0-5]\d([-_.:m]?[0-5]\d)?)?)");
  // With the A of the half numbers on a film's edge (7, 7A).
  static const std::regex number(R"(0*([0-9]+)([aA](?![0-9A-Za-z]))?)");
  constexpr std::size_t kMostDigits = 5;
  const std::string name = std::regex_replace(stem, moment, "@");
  NameParts parts;
  std::size_t done = 0;
  for (std::sregex_iterator it(name.begin(), name.end(), number), end; it != end; ++it) {
    const auto begin = static_cast<std::size_t>(it->position());
    parts.words += name.substr(done, begin - done);
    done = begin + static_cast<std::size_t>(it->length());
    if ((*it)[1].length() > static_cast<std::ptrdiff_t>(kMostDigits)) {
      parts.words += '@';
      continue;
    }
    parts.words += '#';
    parts.numbers.push_back((*it)[1].str() + ((*it)[2].matched ? "A" : ""));
  }
  parts.words += name.substr(done);
  return parts;
}

/// Which of the numbers counts the frames; as many as there are where none varies.
std::size_t counting_place(const std::vector<const NameParts*>& names) {
  std::size_t best = names.front()->numbers.size();
  std::size_t most = 1;
  for (std::size_t place = 0; place < names.front()->numbers.size(); ++place) {
    std::set<std::string> values;
    for (const NameParts* name : names) values.insert(name->numbers[place]);
    if (values.size() < 2 || values.size() < most) continue;
    most = values.size();
    best = place;
  }
  return best;
}

}  // namespace

std::vector<std::string> labels_in_names(std::span<const NamedScan> scans) {
  std::vector<NameParts> parts;
  std::map<std::string, std::vector<std::size_t>> alike;
  for (std::size_t i = 0; i < scans.size(); ++i) {
    parts.push_back(parts_of(scans[i].stem));
    alike[parts.back().words].push_back(i);
  }
  std::vector<std::string> labels;
  for (const NamedScan& scan : scans) labels.push_back(scan.label);
  for (const auto& [words, members] : alike) {
    std::vector<const NameParts*> names;
    for (const std::size_t i : members) names.push_back(&parts[i]);
    const std::size_t place = counting_place(names);
    for (const std::size_t i : members) {
      if (place < parts[i].numbers.size()) labels[i] = parts[i].numbers[place];
    }
  }
  return labels;
}

}  // namespace basefog::matching
