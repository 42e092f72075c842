export declare const TO_INSTALL: string;
export declare function chromium(): string | undefined;
