// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <functional>

#include "manual/command_words.hpp"

// Names and choices are letters, digits, '-', '=' and '|' by the program's own making; explanations
// are quoted for the shell.
namespace basefog::manual {
namespace {

std::string joined(const std::vector<std::string>& words, const char* between = " ") {
  std::string out;
  for (const std::string& word : words) out += (out.empty() ? "" : between) + word;
  return out;
}

void for_each_command(const CommandWords& command,
                      const std::function<void(const CommandWords&)>& act) {
  act(command);
  for (const CommandWords& below : command.commands) for_each_command(below, act);
}

bool has_files(const CommandWords& command) {
  return std::any_of(command.options.begin(), command.options.end(), [](const OptionWords& option) {
    return option.positional && (option.takes_files() || option.takes_folders());
  });
}

std::vector<std::string> positional_choices(const CommandWords& command) {
  std::vector<std::string> all;
  for (const OptionWords& option : command.options) {
    if (!option.positional) continue;
    const std::vector<std::string> some = option.choices();
    all.insert(all.end(), some.begin(), some.end());
  }
  return all;
}

/// Between single quotes, as bash, zsh and fish read them.
std::string shell_quoted(const std::string& text) {
  std::string out = "'";
  for (char c : text) out += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return out + "'";
}

/// For zsh's specifications, in which ':' and brackets mean something.
std::string zsh_text(const std::string& text) {
  std::string out;
  for (char c : text) {
    if (c == ':' || c == '[' || c == ']' || c == '\\') out += '\\';
    out += c;
  }
  return out;
}

std::string bash_script(const CommandWords& program) {
  std::string out =
      "# bash completion for " + program.name + "\n_" + program.name +
      "() {\n"
      "  local current=${COMP_WORDS[COMP_CWORD]} previous=${COMP_WORDS[COMP_CWORD-1]}\n"
      "  local path=${COMP_WORDS[0]##*/} i choices= files=\n"
      // --option=value comes as three words.
      "  if [[ $current == = ]]; then\n    current=\n"
      "  elif [[ $previous == = ]]; then\n    previous=${COMP_WORDS[COMP_CWORD-2]}\n  fi\n"
      "  for ((i = 1; i < COMP_CWORD; ++i)); do\n"
      "    case \"$path ${COMP_WORDS[i]}\" in\n";
  std::vector<std::string> paths;
  for_each_command(program, [&](const CommandWords& command) {
    if (command.path != program.path) paths.push_back(shell_quoted(command.path));
  });
  out += "      " + joined(paths, "|") + ") path+=\" ${COMP_WORDS[i]}\" ;;\n    esac\n  done\n";
  out += "  case \"$path $previous\" in\n";
  for_each_command(program, [&](const CommandWords& command) {
    for (const OptionWords& option : command.options) {
      if (option.positional || option.value.empty()) continue;
      std::vector<std::string> patterns;
      for (const std::string& name : option.names) {
        patterns.push_back(shell_quoted(command.path + " " + name));
      }
      out += "    " + joined(patterns, "|") + ")";
      if (option.takes_files()) out += " files=f";
      if (option.takes_folders()) out += " files=d";
      out += " choices=" + shell_quoted(joined(option.choices())) + " ;;\n";
    }
  });
  out += "    *)\n      case \"$path\" in\n";
  for_each_command(program, [&](const CommandWords& command) {
    std::vector<std::string> words = command_names(command);
    const std::vector<std::string> fixed = positional_choices(command);
    words.insert(words.end(), fixed.begin(), fixed.end());
    out += "        " + shell_quoted(command.path) + ")";
    if (has_files(command)) out += " files=f";
    out += " choices=" + shell_quoted(joined(words)) +
           "\n          [[ $current == -* ]] && choices=" +
           shell_quoted(joined(option_names(command))) + " ;;\n";
  });
  out +=
      "      esac ;;\n  esac\n"
      "  COMPREPLY=($(compgen -W \"$choices\" -- \"$current\"))\n"
      "  if [[ -n $files && $current != -* ]]; then\n"
      "    compopt -o filenames 2> /dev/null\n"
      "    local name\n"
      "    while IFS= read -r name; do COMPREPLY+=(\"$name\"); done "
      "< <(compgen -$files -- \"$current\")\n"
      "  fi\n}\ncomplete -F _" +
      program.name + " " + program.name + "\n";
  return out;
}

std::string zsh_action(const OptionWords& option) {
  const std::vector<std::string> choices = option.choices();
  const bool files = option.takes_files() || option.takes_folders();
  const std::string listed = "(" + joined(choices) + ")";
  std::string paths = option.takes_files() ? "_files" : "_files -/";
  if (files && !choices.empty()) return "{compadd " + joined(choices) + "; " + paths + "}";
  if (files) return paths;
  return choices.empty() ? " " : listed;
}

/// The options of a command as zsh's specifications, each on a line of its own.
std::string zsh_options(const CommandWords& command) {
  std::string out;
  for (const OptionWords& option : command.options) {
    if (option.positional) {
      out += " \\\n    " + shell_quoted((option.repeated ? "*:" : ":") + zsh_text(option.names[0]) +
                                        ":" + zsh_action(option));
      continue;
    }
    for (const std::string& one : option.names) {
      // With "=" the value may follow it in the same word.
      const char* same_word = !option.value.empty() && one.starts_with("--") ? "=" : "";
      std::string spec = one + same_word + "[" + zsh_text(option.text) + "]";
      if (!option.value.empty()) spec += ":" + zsh_text(option.value) + ":" + zsh_action(option);
      out += " \\\n    " + shell_quoted(spec);
    }
  }
  return out;
}

std::string zsh_function(const CommandWords& command) {
  std::string name = command.path;
  std::replace(name.begin(), name.end(), ' ', '_');
  std::string out = "_" + name + "() {\n";
  if (command.commands.empty()) return out + "  _arguments -s" + zsh_options(command) + "\n}\n";
  out += "  local line state\n  _arguments -C" + zsh_options(command) +
         " \\\n    '1: :->command' '*:: :->rest'\n"
         "  case $state in\n    command)\n      local commands=(";
  for (const CommandWords& below : command.commands) {
    out += "\n        " + shell_quoted(below.name + ":" + zsh_text(below.text));
  }
  out += "\n      )\n      _describe command commands ;;\n    rest)\n      case $line[1] in\n";
  for (const CommandWords& below : command.commands) {
    out += "        " + below.name + ") _" + name + "_" + below.name + " ;;\n";
  }
  return out + "      esac ;;\n  esac\n}\n";
}

std::string zsh_script(const CommandWords& program) {
  std::string out = "#compdef " + program.name + "\n";
  for_each_command(program, [&](const CommandWords& command) { out += zsh_function(command); });
  return out + "_" + program.name + " \"$@\"\n";
}

/// True in fish when the words typed so far lead to this command, and for one with commands below
/// it while none of those is named.
std::string fish_condition(const CommandWords& command) {
  const std::string end = command.commands.empty() ? " " : " +\\S*\\z";
  return shell_quoted("string match -rq \"^\\S*" + command.path + end + "\" -- (commandline -cp)");
}

std::string fish_script(const CommandWords& program) {
  const std::string begin = "complete -c " + program.name + " -n ";
  std::string out =
      "# fish completion for " + program.name + "\ncomplete -c " + program.name + " -f\n";
  for_each_command(program, [&](const CommandWords& command) {
    const std::string when = begin + fish_condition(command);
    for (const CommandWords& below : command.commands) {
      out += when + " -a " + below.name + " -d " + shell_quoted(below.text) + "\n";
    }
    if (has_files(command)) out += when + " -F\n";
    if (const auto fixed = positional_choices(command); !fixed.empty()) {
      out += when + " -a " + shell_quoted(joined(fixed)) + "\n";
    }
    for (const OptionWords& option : command.options) {
      if (option.positional) continue;
      out += when;
      for (const std::string& name : option.names) {
        out += name.starts_with("--") ? " -l " + name.substr(2) : " -s " + name.substr(1);
      }
      if (!option.value.empty())
        out += option.takes_files() || option.takes_folders() ? " -r -F" : " -x";
      if (const auto choices = option.choices(); !choices.empty()) {
        out += " -a " + shell_quoted(joined(choices));
      }
      out += " -d " + shell_quoted(option.text) + "\n";
    }
  });
  return out;
}

}  // namespace

std::string completion_script(const CommandWords& program, Shell shell) {
  switch (shell) {
    case Shell::bash:
      return bash_script(program);
    case Shell::zsh:
      return zsh_script(program);
    case Shell::fish:
      return fish_script(program);
  }
  return "";
}

}  // namespace basefog::manual
