// SPDX-License-Identifier: GPL-3.0-or-later
#include "desk/server.hpp"

#include <httplib.h>
#include <sys/socket.h>
#include <unistd.h>

#include <atomic>
#include <charconv>
#include <chrono>
#include <condition_variable>
#include <deque>
#include <mutex>
#include <thread>
#include <utility>
#include <vector>

#include "basefog/core/error.hpp"
#include "desk/bounded_stream.hpp"

namespace basefog::desk {
namespace {

/// Callers answered at once, and how many more may wait here; those after them wait in the system's
/// own queue. Enough for some windows and for those that waste its time.
constexpr std::size_t kCallers = 32;
constexpr std::size_t kWaiting = 64;
/// A window asks a dozen times for a change; a page of 40 pictures some hundred times when opened.
constexpr double kRequestsASecond = 200;
constexpr double kRequestsInARow = 1000;

/// Threads that answer; unlike the library's own, no endless queue stands before them.
class Callers : public httplib::TaskQueue {
 public:
  Callers() {
    for (std::size_t i = 0; i < kCallers; ++i) threads_.emplace_back([this] { work(); });
  }

  void enqueue(std::function<void()> call) override {
    std::unique_lock lock(mutex_);
    // The call is the connection, which only the call itself can close.
    came_or_went_.wait(lock, [this] { return calls_.size() < kWaiting || over_; });
    calls_.push_back(std::move(call));
    came_or_went_.notify_all();
  }

  void shutdown() override {
    {
      const std::scoped_lock lock(mutex_);
      over_ = true;
      came_or_went_.notify_all();
    }
    threads_.clear();
  }

 private:
  void work() {
    while (true) {
      std::function<void()> call;
      {
        std::unique_lock lock(mutex_);
        came_or_went_.wait(lock, [this] { return !calls_.empty() || over_; });
        if (calls_.empty()) return;
        call = std::move(calls_.front());
        calls_.pop_front();
        came_or_went_.notify_all();
      }
      call();
    }
  }

  std::mutex mutex_;
  std::condition_variable came_or_went_;
  std::deque<std::function<void()>> calls_;
  bool over_ = false;
  std::vector<std::jthread> threads_;
};

/// The value of a head; several of one name are never one that is wanted.
std::string only_value(const httplib::Request& request, const char* name) {
  std::string value;
  const std::size_t count = request.get_header_value_count(name);
  for (std::size_t i = 0; i < count; ++i) {
    value += (i == 0 ? "" : ",") + request.get_header_value(name, i);
  }
  return value;
}

RequestHead head_of(const httplib::Request& request) {
  RequestHead head{.method = request.method,
                   .target = request.target,
                   .host = only_value(request, "Host"),
                   .origin = only_value(request, "Origin"),
                   .fetch_site = only_value(request, "Sec-Fetch-Site"),
                   .content_type = only_value(request, "Content-Type"),
                   .chunked = request.has_header("Transfer-Encoding")};
  const std::string length = only_value(request, "Content-Length");
  const auto [end, error] =
      std::from_chars(length.data(), length.data() + length.size(), head.content_length);
  // What is no number is the end of it, as is a body of two lengths.
  if (!length.empty() && (error != std::errc{} || end != length.data() + length.size())) {
    head.content_length = kMostBody + 1;
  }
  return head;
}

/// Everything comes from the desk itself, nothing written into a page runs, and no other site may
/// frame, embed or read it [CSP3].
const httplib::Headers kOnEveryAnswer = {
    {"Content-Security-Policy",
     "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
     "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"},
    {"X-Content-Type-Options", "nosniff"},
    {"Referrer-Policy", "no-referrer"},
    {"Cross-Origin-Resource-Policy", "same-origin"},
    {"Cross-Origin-Opener-Policy", "same-origin"},
};

}  // namespace

class Server::Listener : public httplib::Server {
 public:
  explicit Listener(std::function<Answer(const Call&)> answer)
      : answer_(std::move(answer)), rate_(kRequestsASecond, kRequestsInARow) {
    new_task_queue = [] { return new Callers; };  // the library takes it over
    // Not the library's own choice, under which another program may listen at the same port.
    set_socket_options([](socket_t socket) {
      const int yes = 1;
      ::setsockopt(socket, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
    });
    set_default_headers(kOnEveryAnswer);
    set_payload_max_length(kMostBody);
    set_pre_routing_handler([this](const httplib::Request& request, httplib::Response& response) {
      return admit(request, response);
    });
    const auto handler = [this](const httplib::Request& request, httplib::Response& response) {
      hand_over(request, response);
    };
    Get("/[^]*", handler);
    Post("/[^]*", handler);
    set_exception_handler([](const httplib::Request&, httplib::Response& response,
                             const std::exception_ptr&) { refuse(response, 500); });
  }

  Door door;
  std::atomic<bool> ended = false;

 private:
  static void refuse(httplib::Response& response, int status) {
    response.status = status;
    response.set_content("Not for you.\n", "text/plain");
    response.set_header("Cache-Control", "no-store");
  }

  HandlerResponse admit(const httplib::Request& request, httplib::Response& response) {
    constexpr int kTooMany = 429;
    std::optional<int> status = refusal(head_of(request), door);
    if (!rate_.allow(Rate::Clock::now())) status = kTooMany;
    if (!status) return HandlerResponse::Unhandled;
    refuse(response, *status);
    return HandlerResponse::Handled;
  }

  void hand_over(const httplib::Request& request, httplib::Response& response) {
    const std::string_view target = request.target;
    const std::size_t mark = target.find('?');
    const Answer answer =
        answer_({.post = request.method == "POST",
                 .place = place_in(target, door),
                 .query = mark == std::string_view::npos ? "" : target.substr(mark + 1),
                 .body = request.body});
    response.status = answer.status;
    response.set_content(answer.body, answer.type);
    response.set_header("Cache-Control",
                        answer.keep ? "private, max-age=86400, immutable" : "no-store");
  }

  bool process_and_close_socket(socket_t socket) override {
    BoundedStream stream(socket, {.body_bytes = kMostBody});
    bool closed = false;
    const bool done = process_request(stream, true, closed, [](httplib::Request& request) {
      // Nothing is packed on its way through the loopback, which would take longer than it saves.
      request.headers.erase("Accept-Encoding");
      request.headers.erase("Range");
      request.ranges.clear();
    });
    ::shutdown(socket, SHUT_RDWR);
    ::close(socket);
    return done;
  }

  std::function<Answer(const Call&)> answer_;
  Rate rate_;
};

Server::Server(int port, std::function<Answer(const Call&)> answer)
    : listener_(std::make_unique<Listener>(std::move(answer))) {
  constexpr const char* kLoopback = "127.0.0.1";
  const bool bound = port == 0 ? (port = listener_->bind_to_any_port(kLoopback)) > 0
                               : listener_->bind_to_port(kLoopback, port);
  if (!bound) {
    throw InputError(ErrorCode::usage, "--port", "cannot be listened at; another program may be",
                     "name another port, or none for any that is free");
  }
  listener_->door = {.key = new_key(), .port = port};
}

Server::~Server() = default;

const Door& Server::door() const { return listener_->door; }
void Server::run() {
  listener_->listen_after_bind();
  listener_->ended = true;
}
void Server::stop() {
  // The library forgets a stop that comes before it has begun.
  while (!listener_->is_running() && !listener_->ended) {
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
  }
  listener_->stop();
}

}  // namespace basefog::desk
