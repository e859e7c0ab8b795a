/** Reading a row-end code with the camera, where the browser can. Pictures are looked at and kept nowhere. */

interface Found {
  rawValue: string;
}
interface Detector {
  detect(source: HTMLVideoElement): Promise<Found[]>;
}
interface DetectorMaker {
  new (options: { formats: string[] }): Detector;
  getSupportedFormats(): Promise<string[]>;
}
export interface Scan {
  /** Let the camera go. */
  stop(): void;
}

const LOOK_MS = 150;

function maker(): DetectorMaker | null {
  const found: unknown = (globalThis as { BarcodeDetector?: unknown }).BarcodeDetector;
  return typeof found === "function" ? (found as DetectorMaker) : null;
}

/** Tell whether this browser can read codes with a camera here; without https it has no camera for pages. */
export async function canScan(): Promise<boolean> {
  const detector = maker();
  if (detector === null || !("mediaDevices" in navigator)) return false;
  return (await detector.getSupportedFormats().catch((): string[] => [])).includes("qr_code");
}

/** Show the camera in `video` and tell the text of every code that it sees, until it is stopped. */
export async function scan(video: HTMLVideoElement, seen: (text: string) => void): Promise<Scan> {
  const Maker = maker();
  if (Maker === null) throw new Error("This browser reads no codes.");
  const stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
  const detector = new Maker({ formats: ["qr_code"] });
  let stopped = false;
  const stop = (): void => {
    stopped = true;
    stream.getTracks().forEach((track) => track.stop());
    video.srcObject = null;
  };
  video.srcObject = stream;
  video.muted = true;
  video.playsInline = true;
  await video.play().catch(() => undefined);
  const look = async (): Promise<void> => {
    if (stopped) return;
    // a picture that is not there yet is no error
    const found = video.readyState < 2 ? [] : await detector.detect(video).catch(() => []);
    for (const { rawValue } of found) if (!stopped) seen(rawValue);
    setTimeout(() => void look(), LOOK_MS);
  };
  void look();
  return { stop };
}
