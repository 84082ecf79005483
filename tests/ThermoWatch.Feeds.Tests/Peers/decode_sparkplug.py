#!/usr/bin/python3
"""Decodes Sparkplug payloads with Google's protobuf, by a schema made from the published field table. One hex line in, one JSON line out; null for what is no payload."""
import csv, sys
from google.protobuf import descriptor_pb2, descriptor_pool, json_format, message, message_factory

F = descriptor_pb2.FieldDescriptorProto
TYPES = {"uint64": F.TYPE_UINT64, "uint32": F.TYPE_UINT32, "bool": F.TYPE_BOOL, "string": F.TYPE_STRING,
         "bytes": F.TYPE_BYTES, "float": F.TYPE_FLOAT, "double": F.TYPE_DOUBLE}
rows = list(csv.DictReader(open(sys.argv[1])))
known = {row["message"] for row in rows}
proto = descriptor_pb2.FileDescriptorProto(name="sparkplug.proto", package="sp", syntax="proto2")
messages = {name: proto.message_type.add(name=name) for name in sorted(known)}
for row in rows:
    words = row["type"].split()
    if words[-1] not in TYPES and words[-1] not in known:
        continue
    field = messages[row["message"]].field.add(name=row["field"], number=int(row["number"]))
    field.label = F.LABEL_REPEATED if words[0] == "repeated" else F.LABEL_OPTIONAL
    if words[-1] in TYPES:
        field.type = TYPES[words[-1]]
    else:
        field.type, field.type_name = F.TYPE_MESSAGE, ".sp." + words[-1]
pool = descriptor_pool.DescriptorPool()
pool.Add(proto)
descriptor = pool.FindMessageTypeByName("sp.Payload")
Payload = message_factory.GetMessageClass(descriptor) if hasattr(message_factory, "GetMessageClass") else message_factory.MessageFactory(pool).GetPrototype(descriptor)
for line in sys.stdin:
    try:
        payload = Payload.FromString(bytes.fromhex(line.strip()))
        print(json_format.MessageToJson(payload, preserving_proto_field_name=True, indent=None), flush=True)
    except message.DecodeError:
        print("null", flush=True)
