// The device's camera: opened, looked through, and asked for a picture in its full size.

interface FullSize {
  takePhoto(): Promise<Blob>;
}
const fullSize = (track: MediaStreamTrack): FullSize | null => {
  const Kind = (globalThis as { ImageCapture?: new (track: MediaStreamTrack) => FullSize }).ImageCapture;
  return Kind ? new Kind(track) : null;
};

/** What the view shows, at most so many pixels wide, as a JPEG. */
async function frame(video: HTMLVideoElement, most: number): Promise<Blob | null> {
  const { videoWidth: width, videoHeight: height } = video;
  if (width === 0) return null;
  const scale = Math.min(1, most / width);
  const canvas = document.createElement("canvas");
  [canvas.width, canvas.height] = [Math.round(width * scale), Math.round(height * scale)];
  canvas.getContext("2d")?.drawImage(video, 0, 0, canvas.width, canvas.height);
  return new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.92));
}

export const camera = {
  /** The camera that looks away from the person. Throws where it is refused or missing. */
  open: () =>
    navigator.mediaDevices.getUserMedia({ audio: false, video: { facingMode: "environment", width: { ideal: 4096 }, height: { ideal: 3072 } } }),

  frame,

  /** A picture in the camera's full size where the browser can ask for it, else as the view shows it. */
  async take(stream: MediaStream, video: HTMLVideoElement): Promise<Blob> {
    const track = stream.getVideoTracks()[0];
    const photographed = track ? await fullSize(track)?.takePhoto().catch(() => null) : null;
    const picture = photographed?.type === "image/jpeg" ? photographed : await frame(video, Number.POSITIVE_INFINITY);
    if (!picture) throw new Error("the camera gave no picture");
    return picture;
  },
};
