// A disk for SQLite that lives in memory and can be full, break, or lose its power: what has not been synced is then
// kept or not, sector by sector, as a real disk is free to do. Files that are made or deleted are so at once. (SQLite's
// own documentation of its VFS interface, https://www.sqlite.org/vfs.html, says what a disk must do.)
#pragma once

#include <sqlite3.h>

#include <array>
#include <cstdint>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "tests/winter/splitmix.h"

namespace overwinter {

class DiskInMemory {
 public:
  DiskInMemory();  // what SQLite opens from now on is on this disk, until it goes
  ~DiskInMemory();
  DiskInMemory(const DiskInMemory&) = delete;
  DiskInMemory& operator=(const DiskInMemory&) = delete;

  void set_room(std::uint64_t bytes) { room_ = bytes; }  // of all files together
  // After so many more writes and syncs the disk answers nothing but errors.
  void break_after(std::uint64_t operations) { operations_left_ = operations; }
  bool is_broken() const { return operations_left_ == 0; }
  // Call with no file open. The disk works again afterwards.
  void cut_power(SplitMix& random);
  std::uint64_t bytes_used() const;

 private:
  struct Write {
    std::size_t offset;
    std::string bytes;
    bool is_truncation;
  };
  struct Content {
    bool exists = false;
    std::string now, synced;
    std::vector<Write> unsynced;
    std::vector<std::unique_ptr<std::array<char, 32768>>> shared;
    int users_of_shared = 0;
  };
  struct OpenFile {
    sqlite3_file base;
    DiskInMemory* disk;
    Content* content;
    bool uses_shared;
  };
  struct Methods;

  bool use_operation();
  static void apply(std::string& to, const Write& write, std::size_t bytes);

  sqlite3_vfs vfs_{};
  sqlite3_vfs* system_;
  std::map<std::string, Content> contents_;
  std::uint64_t room_ = UINT64_MAX, operations_left_ = UINT64_MAX;
};

}  // namespace overwinter
