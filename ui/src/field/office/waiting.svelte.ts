// Waiting for the office: buttons rest meanwhile, and what went wrong is shown where it was asked.
import { Fault } from "../../transport/door";

export class Waiting {
  busy = $state(false);
  fault = $state.raw<Fault | null>(null);

  /** Does the work; it never throws. */
  during = async (work: () => Promise<void>): Promise<void> => {
    [this.busy, this.fault] = [true, null];
    try {
      await work();
    } catch (thrown) {
      this.fault = Fault.of(thrown);
    } finally {
      this.busy = false;
    }
  };
}
