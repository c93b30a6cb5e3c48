// The pictures of a clip, one after the other, each with its own time in the file.

const LARGEST = 720;             // longest side in pixels that is worked on
const GIVEN_UP = 8000;           // ms without a picture
const CALM = 0.02;               // s of real time that each picture gets at least
const SLOWEST = 0.0625, FASTEST = 2;

export async function open(file) {
  const video = document.createElement("video");
  Object.assign(video, {muted: true, playsInline: true, preload: "auto", src: URL.createObjectURL(file)});
  await once(video, "loadeddata");
  if (!(video.videoWidth > 0)) throw new Error("no picture");
  if (!Number.isFinite(video.duration)) await findLength(video);
  const scale = Math.min(1, LARGEST / Math.max(video.videoWidth, video.videoHeight));
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(video.videoWidth * scale);
  canvas.height = Math.round(video.videoHeight * scale);
  const pen = canvas.getContext("2d", {willReadFrequently: true});
  return {video, canvas, pen, size: {width: canvas.width, height: canvas.height}, length: video.duration};
}

export function close(clip) {
  clip.video.pause();
  URL.revokeObjectURL(clip.video.src);
  clip.video.removeAttribute("src");
  clip.video.load();
}

// Reads a patch of the picture that is drawn.
export function reader(clip) {
  return (left, top, width, height) => {
    const {data} = clip.pen.getImageData(left, top, width, height);
    return {data, width, height, left, top};
  };
}

// Shows the picture at a time and draws it.  Returns its own time; ``otherwise`` where the browser does not tell.
export async function show(clip, seconds, otherwise = seconds) {
  const {video} = clip;
  const shown = presented(video);
  const sought = once(video, "seeked");
  video.currentTime = Math.min(Math.max(seconds, 0), clip.length);
  await sought;
  const time = await shown;
  return draw(clip, time ?? otherwise);
}

// Every picture from the one shown to the end: ``take(time)`` is called with it drawn, and ends it with false.
export async function each(clip, take, fallbackRate) {
  if (clip.video.requestVideoFrameCallback) await play(clip, take);
  else await seekThrough(clip, take, fallbackRate);
}

// Played so slowly that every picture has its moment: the first few tell how close together they lie in the file.
function play(clip, take) {
  const {video} = clip;
  return new Promise((resolve, reject) => {
    let timer, last = -1, took = 0, gaps = [];
    const end = (error) => {
      clearTimeout(timer);
      video.removeEventListener("ended", end);
      video.pause();
      if (error instanceof Error) reject(error);
      else resolve();
    };
    const look = (now, about) => {
      clearTimeout(timer);
      timer = setTimeout(end, GIVEN_UP);
      const time = draw(clip, about.mediaTime);
      if (time > last) {
        if (last >= 0) gaps.push(time - last);
        last = time;
        const began = performance.now();
        try {
          if (take(time) === false) return end();
        } catch (error) {
          return end(error);
        }
        took = Math.max(0.9 * took, (performance.now() - began) / 1000);
        if (gaps.length >= 6) {
          const rate = Math.min(...gaps) / Math.max(CALM, 1.5 * took);
          video.playbackRate = Math.min(Math.max(rate, SLOWEST), FASTEST);
          gaps = gaps.slice(-30);
        }
      }
      if (video.ended) return end();
      video.requestVideoFrameCallback(look);
    };
    video.addEventListener("ended", end);
    timer = setTimeout(end, GIVEN_UP);
    video.playbackRate = 0.25;
    video.requestVideoFrameCallback(look);
    video.play().catch(end);
  });
}

// Aims at the middle of each picture: at its edge one cannot know which of two is shown.
async function seekThrough(clip, take, rate) {
  const begin = clip.video.currentTime;
  for (let time = begin; time < clip.length; time += 1 / rate) {
    if (take(await show(clip, time + 0.5 / rate, time)) === false) return;
  }
}

// Draws what the video shows.  The picture's own time is asked of the picture where the browser can: by the time it is
// drawn the video may be one further.
function draw(clip, time) {
  const {pen, video, size} = clip;
  let own = time;
  if (window.VideoFrame) {
    try {
      const frame = new VideoFrame(video);
      pen.drawImage(frame, 0, 0, size.width, size.height);
      if (Math.abs(frame.timestamp / 1e6 - time) < 0.5) own = frame.timestamp / 1e6;
      frame.close();
      return own;
    } catch { /* this browser cannot take a frame off this video: draw the video itself */ }
  }
  pen.drawImage(video, 0, 0, size.width, size.height);
  return own;
}

function presented(video) {
  if (!video.requestVideoFrameCallback) return Promise.resolve(null);
  return new Promise((resolve) => {
    const timer = setTimeout(() => resolve(null), 400);
    video.requestVideoFrameCallback((now, about) => {
      clearTimeout(timer);
      resolve(about.mediaTime);
    });
  });
}

// Files from some recorders do not say how long they are until one has gone to their end.
async function findLength(video) {
  const sought = once(video, "seeked");
  video.currentTime = 1e6;
  await sought;
  const back = once(video, "seeked");
  video.currentTime = 0;
  await back;
}

function once(target, name) {
  return new Promise((resolve, reject) => {
    const timer = setTimeout(() => reject(new Error(name)), GIVEN_UP);
    target.addEventListener(name, () => { clearTimeout(timer); resolve(); }, {once: true});
    target.addEventListener("error", () => { clearTimeout(timer); reject(new Error("error")); }, {once: true});
  });
}
