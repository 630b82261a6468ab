#!/usr/bin/python3
"""mail_server.py FOLDER [starttls|smtps CERTIFICATE KEY]: a real SMTP server (aiosmtpd) that takes one mail, has it read by Python's email library, writes what
is in it to FOLDER (text.txt and each attachment under its own name) and prints one line of what it found.

Prints "port=N" when it listens. Nothing of ours reads the mail here: that is the point.
"""
import asyncio
import email
import email.policy
import pathlib
import ssl
import sys

from aiosmtpd.smtp import SMTP


class Take:
    def __init__(self, folder, done):
        self.folder = folder
        self.done = done

    async def handle_DATA(self, server, session, envelope):
        mail = email.message_from_bytes(envelope.content, policy=email.policy.default)
        defects = [str(d) for part in mail.walk() for d in part.defects]
        (self.folder / "raw.eml").write_bytes(envelope.content)
        (self.folder / "text.txt").write_text(mail.get_body(("plain",)).get_content(), encoding="utf-8")
        names = []
        for part in mail.iter_attachments():
            names.append(f"{part.get_filename()}:{part.get_content_type()}")
            (self.folder / part.get_filename()).write_bytes(part.get_content())
        headers = [k for k in mail.keys() if k.lower() in ("from", "to", "subject", "date", "message-id", "mime-version")]
        print(f"mail from={envelope.mail_from} to={','.join(envelope.rcpt_tos)} subject={mail['subject']} "
              f"attachments={','.join(names)} headers={len(headers)} defects={len(defects)} "
              f"tls={'yes' if server.transport.get_extra_info('sslcontext') else 'no'}", flush=True)
        self.done.set_result(None)
        return "250 taken"


async def main():
    loop = asyncio.get_running_loop()
    done = loop.create_future()
    folder = pathlib.Path(sys.argv[1])
    how, context = None, None
    if len(sys.argv) == 5:
        how, context = sys.argv[2], ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(sys.argv[3], sys.argv[4])
    server = await loop.create_server(
        lambda: SMTP(Take(folder, done), enable_SMTPUTF8=True, hostname="mail.example.org",
                     tls_context=context if how == "starttls" else None, require_starttls=how == "starttls"),
        "127.0.0.1", 0, ssl=context if how == "smtps" else None)
    print(f"port={server.sockets[0].getsockname()[1]}", flush=True)
    await asyncio.wait_for(done, 120)
    await asyncio.sleep(0.2)  # the client says QUIT


asyncio.run(main())
