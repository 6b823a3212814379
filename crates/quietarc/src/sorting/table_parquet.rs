//! The table as Parquet: one row group, plain pages, every column may be empty.

use std::io::Write;
use std::sync::Arc;

use parquet::basic::{ConvertedType, LogicalType, Repetition, Type as Physical};
use parquet::data_type::{ByteArray, ByteArrayType, DataType, DoubleType, Int64Type};
use parquet::errors::ParquetError;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::{SerializedFileWriter, SerializedRowGroupWriter};
use parquet::schema::types::Type;

use super::table::{Table, Values};

/// Writes a table.
///
/// # Errors
///
/// What is written to cannot take it.
pub(crate) fn write(table: &Table, out: impl Write + Send) -> Result<(), ParquetError> {
    let fields: Result<Vec<_>, _> =
        table.columns.iter().map(|(name, values)| field(name, values).map(Arc::new)).collect();
    let schema = Type::group_type_builder("frames").with_fields(fields?).build()?;
    let properties = WriterProperties::builder().set_created_by("quietarc".to_owned()).build();
    let mut file = SerializedFileWriter::new(out, Arc::new(schema), Arc::new(properties))?;
    let mut rows = file.next_row_group()?;
    for (_name, values) in &table.columns {
        match values {
            Values::Text(values) => {
                let texts = values.iter().map(|text| text.as_deref().map(ByteArray::from));
                column::<ByteArrayType>(&mut rows, texts)?;
            }
            Values::Whole(values) => column::<Int64Type>(&mut rows, values.iter().copied())?,
            Values::Number(values) => column::<DoubleType>(&mut rows, values.iter().copied())?,
        }
    }
    rows.close()?;
    file.close()?;
    Ok(())
}

fn field(name: &str, values: &Values) -> Result<Type, ParquetError> {
    let physical = match values {
        Values::Text(_) => Physical::BYTE_ARRAY,
        Values::Whole(_) => Physical::INT64,
        Values::Number(_) => Physical::DOUBLE,
    };
    let builder = Type::primitive_type_builder(name, physical).with_repetition(Repetition::OPTIONAL);
    match values {
        Values::Text(_) => {
            builder.with_converted_type(ConvertedType::UTF8).with_logical_type(Some(LogicalType::String)).build()
        }
        Values::Whole(_) | Values::Number(_) => builder.build(),
    }
}

fn column<T: DataType>(
    rows: &mut SerializedRowGroupWriter<'_, impl Write + Send>,
    values: impl Iterator<Item = Option<T::T>>,
) -> Result<(), ParquetError> {
    let values: Vec<Option<T::T>> = values.collect();
    let levels: Vec<i16> = values.iter().map(|value| i16::from(value.is_some())).collect();
    let known: Vec<T::T> = values.into_iter().flatten().collect();
    if let Some(mut writer) = rows.next_column()? {
        writer.typed::<T>().write_batch(&known, Some(&levels), None)?;
        writer.close()?;
    }
    Ok(())
}
