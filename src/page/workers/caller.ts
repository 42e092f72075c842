interface Reply {
  readonly call: number;
  readonly answer?: unknown;
  readonly fault?: string;
}

/** Calls a worker as one calls a function: every request gets its answer, in whatever order they come. */
export function callerOf<Request, Answer>(make: () => Worker): (request: Request) => Promise<Answer> {
  let worker: Worker | undefined;
  let calls = 0;
  const waiting = new Map<number, { readonly answer: (value: Answer) => void; readonly fail: (error: Error) => void }>();
  const start = (): Worker => {
    const started = make();
    started.onmessage = ({ data }: MessageEvent<Reply>) => {
      const call = waiting.get(data.call);
      waiting.delete(data.call);
      if (data.fault === undefined) call?.answer(data.answer as Answer);
      else call?.fail(new Error(data.fault));
    };
    started.onerror = (event) => {
      for (const { fail } of waiting.values()) fail(new Error(event.message));
      waiting.clear();
    };
    return started;
  };
  return (request) => {
    worker ??= start();
    calls += 1;
    const call = calls;
    const answered = new Promise<Answer>((answer, fail) => waiting.set(call, { answer, fail }));
    worker.postMessage({ call, request });
    return answered;
  };
}
