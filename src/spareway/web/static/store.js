// The browser's database, written so that what is acknowledged is on the disk: the worker keeps jobs in it, the page keeps drafts.
const SHELVES = { entries: ["kind", "job", "name"], drafts: undefined };

export function open() {
  return new Promise((done, failed) => {
    const asked = indexedDB.open("spareway", 1);
    asked.onupgradeneeded = () => {
      for (const [name, keyPath] of Object.entries(SHELVES)) asked.result.createObjectStore(name, keyPath && { keyPath });
    };
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => failed(asked.error);
  });
}

// All of it or nothing, on the disk before it is answered.
export function write(db, shelf, work) {
  return new Promise((done, failed) => {
    const writing = db.transaction(shelf, "readwrite", { durability: "strict" });
    writing.oncomplete = () => done();
    writing.onabort = writing.onerror = () => failed(writing.error ?? new Error("not written"));
    try {
      work(writing.objectStore(shelf));
    } catch (fault) {                                       // what was asked for before the fault is not kept either
      failed(fault);
      writing.abort();
    }
  });
}

export function all(db, shelf) {
  return new Promise((done, failed) => {
    const asked = db.transaction(shelf).objectStore(shelf).getAll();
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => failed(asked.error);
  });
}

export function one(db, shelf, key) {
  return new Promise((done, failed) => {
    const asked = db.transaction(shelf).objectStore(shelf).get(key);
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => failed(asked.error);
  });
}
