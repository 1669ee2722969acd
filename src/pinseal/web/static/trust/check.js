// Tries what the field page needs, one thing after the other, and writes beside each what came of it.

const ROUND = 1e6;

function tell(name, good, words) {
  const place = document.getElementById(`check-${name}`);
  const shape = good === null ? "unknown" : good ? "ahead" : "overdue";
  place.className = `state state-${shape}`;
  place.querySelector("use").setAttribute("href", `#shape-${shape}`);
  place.querySelector("span").textContent = words;
  return good;
}

function secure() {
  return tell("secure", isSecureContext, isSecureContext ? "yes" : "no: open this page over https, after the phone trusts the shop");
}

async function worker() {
  if (!("serviceWorker" in navigator)) return tell("worker", false, "no: this browser has none here");
  try {
    const made = await navigator.serviceWorker.register("/trust/worker.js", { scope: "/trust/" });
    await made.unregister();
    return tell("worker", true, "yes");
  } catch (error) {
    return tell("worker", false, `no: ${error.message}`);
  }
}

function database() {
  return new Promise((done) => {
    try {
      const asked = indexedDB.open("pinseal-check", 1);
      asked.onerror = () => done(tell("database", false, "no: this browser keeps nothing (a private window?)"));
      asked.onsuccess = () => {
        asked.result.close();
        indexedDB.deleteDatabase("pinseal-check");
        done(tell("database", true, "yes"));
      };
    } catch (error) {
      done(tell("database", false, `no: ${error.message}`));
    }
  });
}

async function room() {
  if (!navigator.storage?.estimate) return tell("room", null, "not told by this browser");
  const { quota = 0, usage = 0 } = await navigator.storage.estimate();
  const free = Math.floor((quota - usage) / ROUND);
  const kept = navigator.storage.persisted ? await navigator.storage.persisted() : false;
  return tell("room", free >= 200 ? true : null, `${free} MB free${kept ? ", kept for good" : "; kept for good once the field page asks"}`);
}

function camera() {
  const there = Boolean(navigator.mediaDevices?.getUserMedia);
  return tell("camera", there ? true : null, there ? "can be asked for" : "not here; numbers can be typed");
}

const needed = [secure(), await worker(), await database()];
await room();
camera();
const able = needed.every(Boolean);
tell("all", able, able ? "This phone can work offline now." : "Not yet. What says no above stands in the way.");
