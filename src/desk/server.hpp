// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <string_view>

#include "desk/access.hpp"

namespace basefog::desk {

/// What is sent back.
struct Answer {
  int status = 200;
  std::string type = "text/plain; charset=utf-8";
  std::string body;
  bool keep = false;  ///< the address stands for these very bytes, so that a browser may keep them
};

/// A request that may come in, as far as the desk is concerned.
struct Call {
  bool post = false;
  std::string_view place;  ///< behind the key: "roll/1/log"
  std::string_view query;  ///< behind "?"
  std::string_view body;
};

/// Listens on the loopback and hands over what passes refusal(); everything else it refuses itself.
/// A connection has one request. No address ever names a file.
class Server {
 public:
  /// port 0: any that is free. Throws InputError (usage) where the port is taken.
  Server(int port, std::function<Answer(const Call&)> answer);
  Server(const Server&) = delete;
  Server& operator=(const Server&) = delete;
  ~Server();

  const Door& door() const;
  /// Answers until stop() is called, from another thread.
  void run();
  void stop();

 private:
  class Listener;
  std::unique_ptr<Listener> listener_;
};

}  // namespace basefog::desk
