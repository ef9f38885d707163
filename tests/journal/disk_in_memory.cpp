#include "tests/journal/disk_in_memory.h"

#include <algorithm>
#include <cstring>
#include <utility>

namespace overwinter {

struct DiskInMemory::Methods {
  static OpenFile& of(sqlite3_file* file) { return *reinterpret_cast<OpenFile*>(file); }
  static DiskInMemory& of(sqlite3_vfs* vfs) { return *static_cast<DiskInMemory*>(vfs->pAppData); }

  static int close(sqlite3_file*) { return SQLITE_OK; }

  static int read(sqlite3_file* file, void* into, int count, sqlite3_int64 at) {
    if (of(file).disk->is_broken()) return SQLITE_IOERR;
    const std::string& bytes = of(file).content->now;
    const auto offset = static_cast<std::size_t>(at), wanted = static_cast<std::size_t>(count);
    const std::size_t there = offset < bytes.size() ? std::min(wanted, bytes.size() - offset) : 0;
    if (there > 0) std::memcpy(into, bytes.data() + offset, there);
    std::memset(static_cast<char*>(into) + there, 0, wanted - there);
    return there == wanted ? SQLITE_OK : SQLITE_IOERR_SHORT_READ;
  }

  static int write(sqlite3_file* file, const void* from, int count, sqlite3_int64 at) {
    DiskInMemory& disk = *of(file).disk;
    Content& content = *of(file).content;
    if (!disk.use_operation()) return SQLITE_IOERR_WRITE;
    Write write{static_cast<std::size_t>(at), {static_cast<const char*>(from), static_cast<std::size_t>(count)}, false};
    const std::size_t end = write.offset + write.bytes.size();
    if (end > content.now.size() && disk.bytes_used() + end - content.now.size() > disk.room_) return SQLITE_FULL;
    apply(content.now, write, write.bytes.size());
    content.unsynced.push_back(std::move(write));
    return SQLITE_OK;
  }

  static int truncate(sqlite3_file* file, sqlite3_int64 size) {
    if (!of(file).disk->use_operation()) return SQLITE_IOERR_TRUNCATE;
    const Write write{static_cast<std::size_t>(size), {}, true};
    apply(of(file).content->now, write, 0);
    of(file).content->unsynced.push_back(write);
    return SQLITE_OK;
  }

  static int sync(sqlite3_file* file, int) {
    if (!of(file).disk->use_operation()) return SQLITE_IOERR_FSYNC;
    Content& content = *of(file).content;
    content.synced = content.now;
    content.unsynced.clear();
    return SQLITE_OK;
  }

  static int size(sqlite3_file* file, sqlite3_int64* size) {
    *size = static_cast<sqlite3_int64>(of(file).content->now.size());
    return SQLITE_OK;
  }
  static int lock(sqlite3_file*, int) { return SQLITE_OK; }
  static int check_lock(sqlite3_file*, int* held) {
    *held = 0;
    return SQLITE_OK;
  }
  static int control(sqlite3_file*, int, void*) { return SQLITE_NOTFOUND; }
  static int sector_size(sqlite3_file*) { return 512; }
  // As the system's own: bytes beside a write stay as they are when the power goes.
  static int characteristics(sqlite3_file*) { return SQLITE_IOCAP_POWERSAFE_OVERWRITE; }

  static int map_shared(sqlite3_file* file, int region, int bytes, int extend, volatile void** into) {
    auto& shared = of(file).content->shared;
    *into = nullptr;
    if (bytes != 32768) return SQLITE_IOERR_SHMMAP;
    if (!std::exchange(of(file).uses_shared, true)) ++of(file).content->users_of_shared;
    const auto index = static_cast<std::size_t>(region);
    while (extend != 0 && shared.size() <= index) shared.push_back(std::make_unique<std::array<char, 32768>>());
    if (index < shared.size()) *into = shared[index]->data();
    return SQLITE_OK;
  }
  static int lock_shared(sqlite3_file*, int, int, int) { return SQLITE_OK; }
  static void barrier(sqlite3_file*) {}
  static int unmap_shared(sqlite3_file* file, int) {
    Content& content = *of(file).content;
    if (std::exchange(of(file).uses_shared, false) && --content.users_of_shared == 0) content.shared.clear();
    return SQLITE_OK;
  }

  static const sqlite3_io_methods* table() {
    static const sqlite3_io_methods methods = [] {
      sqlite3_io_methods m{};
      m.iVersion = 2;
      m.xClose = close;
      m.xRead = read;
      m.xWrite = write;
      m.xTruncate = truncate;
      m.xSync = sync;
      m.xFileSize = size;
      m.xLock = lock;
      m.xUnlock = lock;
      m.xCheckReservedLock = check_lock;
      m.xFileControl = control;
      m.xSectorSize = sector_size;
      m.xDeviceCharacteristics = characteristics;
      m.xShmMap = map_shared;
      m.xShmLock = lock_shared;
      m.xShmBarrier = barrier;
      m.xShmUnmap = unmap_shared;
      return m;
    }();
    return &methods;
  }

  static int open(sqlite3_vfs* vfs, const char* name, sqlite3_file* file, int flags, int* out_flags) {
    DiskInMemory& disk = of(vfs);
    of(file).base.pMethods = nullptr;
    Content& content = disk.contents_[name == nullptr ? "temporary" : name];
    if (!content.exists && (flags & SQLITE_OPEN_CREATE) == 0) return SQLITE_CANTOPEN;
    if (!content.exists && !disk.use_operation()) return SQLITE_IOERR;
    content.exists = true;
    of(file) = {{table()}, &disk, &content, false};
    if (out_flags != nullptr) *out_flags = flags;
    return SQLITE_OK;
  }
  static int remove(sqlite3_vfs* vfs, const char* name, int) {
    if (!of(vfs).use_operation()) return SQLITE_IOERR_DELETE;
    of(vfs).contents_[name] = Content{};
    return SQLITE_OK;
  }
  static int access(sqlite3_vfs* vfs, const char* name, int, int* yes) {
    const auto found = of(vfs).contents_.find(name);
    *yes = found != of(vfs).contents_.end() && found->second.exists ? 1 : 0;
    return SQLITE_OK;
  }
  static int full_path(sqlite3_vfs*, const char* name, int room, char* into) {
    return std::snprintf(into, static_cast<std::size_t>(room), "%s", name) < room ? SQLITE_OK : SQLITE_CANTOPEN;
  }
  static int randomness(sqlite3_vfs* vfs, int count, char* into) {
    return of(vfs).system_->xRandomness(of(vfs).system_, count, into);
  }
  static int pause(sqlite3_vfs*, int microseconds) { return microseconds; }
  static int time(sqlite3_vfs* vfs, double* now) { return of(vfs).system_->xCurrentTime(of(vfs).system_, now); }
  static int last_error(sqlite3_vfs*, int, char*) { return 0; }
};

DiskInMemory::DiskInMemory() : system_(sqlite3_vfs_find(nullptr)) {
  vfs_.iVersion = 1;
  vfs_.szOsFile = static_cast<int>(sizeof(OpenFile));
  vfs_.mxPathname = 1000;
  vfs_.zName = "in-memory";
  vfs_.pAppData = this;
  vfs_.xOpen = Methods::open;
  vfs_.xDelete = Methods::remove;
  vfs_.xAccess = Methods::access;
  vfs_.xFullPathname = Methods::full_path;
  vfs_.xRandomness = Methods::randomness;
  vfs_.xSleep = Methods::pause;
  vfs_.xCurrentTime = Methods::time;
  vfs_.xGetLastError = Methods::last_error;
  sqlite3_vfs_register(&vfs_, 1);
}

DiskInMemory::~DiskInMemory() {
  sqlite3_vfs_unregister(&vfs_);
  sqlite3_vfs_register(system_, 1);
}

bool DiskInMemory::use_operation() {
  if (operations_left_ == 0) return false;
  if (operations_left_ != UINT64_MAX) --operations_left_;
  return true;
}

std::uint64_t DiskInMemory::bytes_used() const {
  std::uint64_t sum = 0;
  for (const auto& [name, content] : contents_) sum += content.now.size();
  return sum;
}

void DiskInMemory::apply(std::string& to, const Write& write, std::size_t bytes) {
  if (write.is_truncation) {
    to.resize(std::min(to.size(), write.offset));
    return;
  }
  if (to.size() < write.offset + bytes) to.resize(write.offset + bytes);
  std::copy_n(write.bytes.begin(), bytes, to.begin() + static_cast<std::ptrdiff_t>(write.offset));
}

void DiskInMemory::cut_power(SplitMix& random) {
  for (auto& [name, content] : contents_) {
    for (const Write& write : content.unsynced) {
      const std::uint64_t fate = random.next() % 4;
      if (fate == 0) continue;  // it never came to the disk
      const bool is_torn = fate == 1 && write.bytes.size() > 512;
      apply(content.synced, write, is_torn ? random.next() % (write.bytes.size() / 512) * 512 : write.bytes.size());
    }
    content.unsynced.clear();
    content.shared.clear();
    content.users_of_shared = 0;
    content.now = content.synced;
  }
  operations_left_ = UINT64_MAX;
}

}  // namespace overwinter
