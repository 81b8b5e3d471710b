using KilnShare.Core.Cones;
using Microsoft.EntityFrameworkCore.Storage.ValueConversion;

namespace KilnShare.Storage.Common;

/// <summary>A cone as its number in text.</summary>
internal sealed class ConeConverter() : ValueConverter<Cone, string>(cone => cone.Name, name => Cone.Parse(name));
